use tests::workload::build::build;
use tests::world::*;
fn main() {
    let dir = std::path::PathBuf::from(std::env::args().nth(1).unwrap());
    let n: u64 = std::env::args().nth(2).unwrap().parse().unwrap();
    std::fs::create_dir_all(&dir).unwrap();
    let mut random = Seeded::new(7);
    let disk = HubDisk::default();
    let mut hub = hub_on(disk.log.clone(), disk.view.clone(), &mut random).unwrap();
    build(&mut hub, &dir, n, &mut random, &mut |s| eprintln!("{s}")).unwrap();
    std::fs::write(dir.join("log.redb"), disk.log.content()).unwrap();
    std::fs::write(dir.join("view.redb"), disk.view.content()).unwrap();
}
