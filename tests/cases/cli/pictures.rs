//! Photos by the command line: to the hub and to a colleague.

use super::bench::Bench;
use client_core::store::pictures::Pictures;

#[test]
fn a_picture_goes_to_the_hub_and_comes_out_of_it() {
    let bench = Bench::with_visit("pictures", 37);
    let kept = Pictures::new(bench.folder.join("hub-photos"));
    bench.hub.borrow_mut().keep_photos(kept);
    let picture: Vec<u8> = b"\xff\xd8\xff"
        .iter()
        .copied()
        .chain((0..200_000).map(|n: u32| n.to_le_bytes()[1]))
        .collect();
    let file = bench.folder.join("plate.jpg");
    std::fs::write(&file, &picture).unwrap();
    let file = file.display().to_string();
    bench.done("Ilse", &["photo", "UH-05", &file, "--subject", "plate"]);
    // The hand may tidy up: a copy lies beside the store.
    std::fs::remove_file(bench.folder.join("plate.jpg")).unwrap();
    bench.silent.set(true);
    assert!(bench.refused("Ilse", &["exchange"]).contains("no route"));
    bench.silent.set(false);
    assert_eq!(bench.json("Ilse", &["exchange"])["pictures_sent"], 1);
    assert_eq!(bench.json("Ilse", &["exchange"])["pictures_sent"], 0);

    bench.exchange(&["Dov"]);
    let listed = bench.json("Dov", &["pictures", "UH-05"]);
    assert_eq!((&listed[0]["subject"], &listed[0]["here"]), (&"plate".into(), &false.into()));
    assert!(bench.says("Dov", &["pictures", "UH-05"]).contains("not here"));
    bench.done("Dov", &["pictures", "UH-05", "--fetch"]);
    assert_eq!(bench.json("Dov", &["exchange"])["pictures_taken"], 1);
    let saved = bench.folder.join("saved");
    bench.done("Dov", &["pictures", "UH-05", "--save", &saved.display().to_string()]);
    let name = format!("{}.jpg", listed[0]["blake3"].as_str().unwrap());
    assert_eq!(std::fs::read(saved.join(name)).unwrap(), picture);
    assert!(bench.says("Dov", &["pictures", "UH-06"]).contains("no photo"));
}

#[test]
fn a_hub_without_pictures_does_not_stop_the_exchange() {
    let bench = Bench::with_visit("no-pictures", 38);
    let file = bench.folder.join("plate.jpg");
    std::fs::write(&file, b"picture").unwrap();
    bench.done("Ilse", &["photo", "UH-05", &file.display().to_string()]);
    let said = bench.json("Ilse", &["exchange"]);
    assert_eq!((&said["pictures_sent"], &said["unsent_changes"]), (&0.into(), &0.into()));
    let large = bench.folder.join("large.jpg");
    std::fs::write(&large, vec![0; 5 * 1024 * 1024]).unwrap();
    let ran = bench.run("Ilse", &["photo", "UH-05", &large.display().to_string()]);
    assert!(ran.code == 0 && ran.err.contains("stays where it is"), "{ran:?}");
}
