use super::table::{SETTINGS, guide};
use super::*;

fn read(
    file: Option<&Path>,
    variables: &[(&str, &str)],
    flags: &[(&str, &str)],
) -> Result<Settings, ConfigWrong> {
    let find = |pairs: &[(&str, &str)], name: &str| {
        pairs.iter().find(|(key, _)| *key == name).map(|(_, value)| (*value).to_owned())
    };
    let all = AllFound::read(file, &|name| find(variables, name), &|name| find(flags, name))?;
    Settings::of(&all)
}

fn wrong(variables: &[(&str, &str)]) -> String {
    read(None, variables, &[]).unwrap_err().to_string()
}

struct File(PathBuf);

impl File {
    fn new(name: &str, text: &str) -> File {
        let name = format!("dripleg-hub-config-{}-{name}", std::process::id());
        let path = std::env::temp_dir().join(name);
        std::fs::write(&path, text).unwrap();
        File(path)
    }
}

impl Drop for File {
    fn drop(&mut self) {
        std::fs::remove_file(&self.0).unwrap();
    }
}

#[test]
fn flags_go_over_variables_and_variables_over_the_file() {
    let file = File::new("order", "listen = '127.0.0.1:1'\nqueue = 7\nbells = 5\nfolder = 'x'\n");
    let variables = [("DRIPLEG_HUB_LISTEN", "127.0.0.1:2"), ("DRIPLEG_HUB_QUEUE", "8")];
    let settings = read(Some(&file.0), &variables, &[("listen", "127.0.0.1:3")]).unwrap();
    assert_eq!(settings.listen.port(), 3);
    assert_eq!((settings.limits.queue, settings.limits.bells), (8, 5));
    assert_eq!(settings.folder, std::env::temp_dir().join("x"), "relative to the file");
    assert_eq!(settings.quota.bytes_per_hour, 20_000_000);
}

#[test]
fn what_is_wrong_names_file_setting_found_and_allowed() {
    let file = File::new("unknown", "listn = '127.0.0.1:1'\n");
    let words = read(Some(&file.0), &[], &[]).unwrap_err().to_string();
    assert!(words.ends_with("there is no setting 'listn'; did you mean 'listen'"), "{words}");
    assert!(words.starts_with(&file.0.display().to_string()), "{words}");
    let file = File::new("type", "queue = [1]\n");
    let words = read(Some(&file.0), &[], &[]).unwrap_err().to_string();
    let wanted = "queue: found a TOML array, allowed is a whole number from 1 to 65536";
    assert!(words.ends_with(wanted), "{words}");
    let file = File::new("syntax", "queue = 1\nbells = = 2\n");
    let words = read(Some(&file.0), &[], &[]).unwrap_err().to_string();
    assert!(words.contains("line 2: "), "{words}");
    assert_eq!(
        wrong(&[("DRIPLEG_HUB_QUEUE", "0")]),
        "environment variable DRIPLEG_HUB_QUEUE: queue: found '0', allowed is a whole number from 1 \
         to 65536"
    );
    assert_eq!(
        read(None, &[], &[("metrics", "all")]).unwrap_err().to_string(),
        "flag --metrics: metrics: found 'all', allowed is off, loopback, anyone"
    );
    for (name, value) in [
        ("LISTEN", "localhost"),
        ("BEHIND_PROXY", "yes"),
        ("PUBLIC_URL", "ftp://x"),
        ("FOLDER", ""),
        ("LOG_LEVEL", "loud"),
        ("STOP_WAIT_S", "-1"),
        ("MEGABYTES_PER_HOUR", "1000001"),
    ] {
        let name = format!("DRIPLEG_HUB_{name}");
        let words = wrong(&[(&name, value)]);
        assert!(words.contains(&format!("found '{value}', allowed is ")), "{words}");
    }
}

#[test]
fn the_hub_does_not_leave_this_machine_unprotected_by_mistake() {
    let beyond = ("DRIPLEG_HUB_LISTEN", "0.0.0.0:7317");
    assert!(wrong(&[beyond]).contains("TLS is not set"));
    assert!(read(None, &[beyond, ("DRIPLEG_HUB_PLAIN_HTTP", "true")], &[]).is_ok());
    let key = ("DRIPLEG_HUB_TLS_KEY", "k.pem");
    assert!(wrong(&[key]).contains("belong together"));
    let certificate = ("DRIPLEG_HUB_TLS_CERTIFICATE", "c.pem");
    let settings = read(None, &[beyond, key, certificate], &[]).unwrap();
    assert_eq!(settings.url(settings.listen), "https://0.0.0.0:7317");
}

#[test]
fn what_is_shown_is_a_file_that_gives_the_same() {
    let variables = [("DRIPLEG_HUB_FOLDER", "a \"b\""), ("DRIPLEG_HUB_PUBLIC_URL", "https://h/")];
    let variable = |name: &str| {
        variables.iter().find(|(key, _)| *key == name).map(|(_, value)| (*value).to_owned())
    };
    let all = AllFound::read(None, &variable, &|_| None).unwrap();
    let shown = all.show();
    assert!(shown.contains("# environment variable DRIPLEG_HUB_FOLDER"), "{shown}");
    let table: toml::Table = shown.parse().unwrap();
    assert_eq!(table.len(), SETTINGS.len());
    assert_eq!(table["folder"].as_str(), Some("a \"b\""));
    assert_eq!(table["queue"].as_integer(), Some(512));
}

#[test]
fn the_guide_lists_every_setting_as_it_is() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/guides/hub.md");
    let mut text = std::fs::read_to_string(&file).unwrap();
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        let (before, rest) = text.split_once("| setting |").unwrap();
        let after = &rest[rest.find("\n\n").unwrap()..];
        text = format!("{before}{}{after}", guide().trim_end());
        std::fs::write(&file, &text).unwrap();
    }
    assert!(text.contains(&guide()), "docs/guides/hub.md should hold:\n{}", guide());
}
