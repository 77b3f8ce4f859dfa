//! The invented scenario up to the evening of the second visit, settled and signed on the pages alone.

use std::collections::BTreeMap;
use std::sync::atomic::Ordering;

use client_core::device::Device;
use client_core::exchange::frame;
use client_core::record::code::Role;
use client_core::record::id::SiteId;
use server::config::Settings;
use server::quota::Quota;
use tests::net::desk::value_of;
use tests::net::{Desk, Hall};
use tests::story::player::Who;
use tests::story::{Player, tell};
use tests::world::talk;

use super::{AT, code_at};
use crate::routes::join;

/// The scenario in a hall, and a browser of the supervisor.
pub(crate) struct Played {
    pub(crate) hall: Hall,
    pub(crate) player: Player,
    pub(crate) desk: Desk,
}

pub(crate) const SITE: SiteId = SiteId([0x0a; 8]);

pub(crate) fn played(seed: u64) -> Played {
    let begin = 1_727_000_000;
    let quota = Quota { requests_per_s: 0, bytes_per_hour: 0, ..Settings::in_folder("").quota };
    let settings = Settings { quota, ..Settings::in_folder("") };
    let hall = Hall::new(seed, begin, &settings, None);
    let mut boss = join(&hall, &hall.code(false).0, "Oriane");
    let mut devices = BTreeMap::new();
    for who in [Who::Ilse, Who::Dov] {
        let code = code_at(&hall, begin, &mut boss, None, Role::Technician, Some(vec![SITE]));
        devices.insert(who, join(&hall, &code, who.name()));
    }
    devices.insert(Who::Oriane, boss);
    let mut player = Player::new(devices, SITE, hall.random());
    let dov = player.device(Who::Dov).identity().device();
    let mut link = |device: &mut Device, clock: i64| {
        // The hub's own clock is right; on one day one phone's is not.
        let wrong =
            device.identity().device() == dov && (1_737_500_000..1_737_600_000).contains(&clock);
        let now = if wrong { clock - tests::story::day::AHEAD_S } else { clock };
        hall.clock.store(now, Ordering::Relaxed);
        talk(device, clock, vec![], &mut |request| {
            let answer = hall.post(AT, frame::PATH, request);
            match answer.status {
                200 => Ok(answer.body),
                status => Err(format!("{status}: {}", answer.text()).into()),
            }
        })
    };
    let mut told = vec![];
    let outcome = tell::tell_unsettled(&mut player, &mut link, &mut told);
    outcome.unwrap_or_else(|wrong| panic!("{}\n{wrong}", String::from_utf8_lossy(&told)));
    let now = hall.clock.load(Ordering::Relaxed);
    let boss = player.device(Who::Oriane);
    let person = Some(boss.identity().person);
    let code = code_at(&hall, now, boss, person, Role::Supervisor, None);
    let desk = Desk::joined(&hall, AT, &code, "Oriane");
    Played { hall, player, desk }
}

/// Paths of the links of a page that begin with something.
pub(crate) fn links(page: &str, begin: &str) -> Vec<String> {
    let all = page.split("href=\"").skip(1).filter_map(|part| part.split('"').next());
    let mut found: Vec<String> =
        all.filter(|path| path.starts_with(begin)).map(|path| path.replace("&amp;", "&")).collect();
    found.dedup();
    found
}

impl Played {
    pub(crate) fn visit(&self, key: &str) -> String {
        format!("/review/sites/{SITE}/visits/{}", self.player.visit(key).unwrap())
    }

    /// Settles everything that a visit's page offers, as its form says.
    pub(crate) fn settle_all(&mut self, visit: &str) -> usize {
        let mut settled = 0;
        for path in links(&self.desk.page(&self.hall, visit), &format!("{visit}/settle")) {
            let page = self.desk.page(&self.hall, &path);
            let form = page.split("<form").find(|form| form.contains("name=\"reason\""));
            let Some(form) = form else { continue };
            let text = |name: &str| value_of(form, name).unwrap_or_default();
            // The side that governs comes first where one does; else the first.
            let chosen = form
                .split("name=\"chosen\"")
                .skip(1)
                .filter_map(|part| part.split("value=\"").nth(1)?.split('"').next())
                .find(|value| !value.is_empty())
                .unwrap_or_default()
                .to_owned();
            // A unit that was taken off the roster goes with the first of the others.
            let into = form.split("name=\"into\"").nth(1).and_then(|list| {
                list.split("value=\"")
                    .skip(1)
                    .filter_map(|part| part.split('"').next())
                    .find(|id| !id.is_empty())
            });
            let into = into.unwrap_or_default().to_owned();
            let (key, unit, table, offset) =
                (text("key"), text("unit"), text("table"), text("offset"));
            let fields = [
                ("key", key.as_str()),
                ("unit", &unit),
                ("table", &table),
                ("offset", &offset),
                ("chosen", &chosen),
                ("into", &into),
                ("reason", "compared with the evidence beside it"),
            ];
            let answer = self.desk.post(&self.hall, &format!("{visit}/settle"), &fields);
            assert_eq!(answer.status, 303, "{path}: {}", answer.text());
            settled += 1;
        }
        settled
    }

    pub(crate) fn except_all(&mut self, visit: &str) {
        let page = self.desk.page(&self.hall, visit);
        let forms = page.split("<form").filter(|form| form.contains("/except\""));
        for form in forms {
            let blocker = value_of(form, "blocker").unwrap();
            let fields = [
                ("blocker", blocker.as_str()),
                ("reason", "looked at; see the reply"),
                ("offset", "-300"),
            ];
            let answer = self.desk.post(&self.hall, &format!("{visit}/except"), &fields);
            assert_eq!(answer.status, 303, "{blocker}: {}", answer.text());
        }
    }

    pub(crate) fn sign(&mut self, visit: &str) -> u16 {
        let page = self.desk.page(&self.hall, visit);
        let shown = value_of(&page, "shown").unwrap_or_default();
        let fields = [("shown", shown.as_str()), ("statement", ""), ("offset", "-300")];
        self.desk.post(&self.hall, &format!("{visit}/sign"), &fields).status
    }
}

#[test]
fn the_scenario_is_settled_and_signed_on_the_pages() {
    let mut played = played(90);
    let (first, second) = (played.visit("V-1"), played.visit("V-2"));
    let page = played.desk.page(&played.hall, &second);
    for words in
        ["shut down, tagged", "in service, part awaited", "these two may be one event", "47 min"]
    {
        assert!(page.to_lowercase().contains(&words.to_lowercase()), "{words} is not on the page");
    }
    assert_eq!(played.sign(&second), 422, "something holds the sign-off");
    assert!(played.settle_all(&first) >= 3, "plate, status, two manometers");
    assert!(played.settle_all(&second) >= 3, "text, clock, double");
    for visit in [&first, &second] {
        played.except_all(visit);
        assert_eq!(played.sign(visit), 303, "{visit}");
        let page = played.desk.page(&played.hall, visit);
        assert!(page.contains("Oriane Tullock</b>, supervisor"), "{page}");
        assert!(links(&page, &format!("{visit}/settle")).is_empty(), "nothing is left to settle");
    }
    // The technicians' devices see both visits released.
    let now = played.hall.clock.load(Ordering::Relaxed);
    let hall = &played.hall;
    let ilse = played.player.devices.get_mut(&Who::Ilse).unwrap();
    talk(ilse, now, vec![], &mut |request| Ok(hall.post(AT, frame::PATH, request).body)).unwrap();
    for key in ["V-1", "V-2"] {
        let visit = played.player.visits[key];
        let ilse = played.player.devices.get_mut(&Who::Ilse).unwrap();
        let opened = ilse.open_visit(SITE, visit).unwrap();
        let file = opened.file();
        assert!(file.signed().released, "{key}");
        assert_eq!(file.contradictions(), [], "{key}");
    }
    let home = played.desk.page(&played.hall, "/review");
    let open = home.split("id=\"open\"").nth(1).unwrap().split("</section>").next().unwrap();
    assert!(!open.contains("/visits/"), "no visit waits any more: {open}");
}

/// Words that no page and no report says, whatever it shows: by language.
const NEVER: [(&str, &[&str]); 3] = [
    (
        "en",
        &[
            "approved",
            "certified ",
            "compliant",
            "guaranteed",
            "ok to run",
            "no leak ",
            "is safe",
            "safe to",
            "reset and try",
            "savings",
            "bypass",
            "jumper ",
        ],
    ),
    (
        "fr",
        &[
            "approuvé",
            "conforme",
            "garanti",
            "sans danger",
            "aucune fuite ",
            "économies",
            "sécuritaire",
        ],
    ),
    (
        "es",
        &["aprobado", "conforme", "garantizado", "es seguro", "sin fugas", "ahorro", "sin peligro"],
    ),
];

#[test]
fn no_page_says_what_the_program_never_says() {
    let mut played = played(91);
    let mut pages: Vec<(String, &str)> = vec![];
    for path in [
        "/review",
        "/review/visits",
        "/review/sites",
        "/review/questions",
        "/review/people",
        "/review/audit?verify=yes",
        "/review/quarantine",
        "/review/search?q=uh",
        "/review/sign-in",
        "/review/join",
    ] {
        pages.push((path.to_owned(), "en"));
    }
    let site = format!("/review/sites/{SITE}");
    pages.extend(
        ["", "/building", "/import", "/labels"].map(|rest| (format!("{site}{rest}"), "en")),
    );
    for key in ["V-1", "V-2"] {
        let visit = played.visit(key);
        let page = played.desk.page(&played.hall, &visit);
        let all = links(&page, &visit).into_iter().filter(|path| !path.contains("/export/"));
        pages.extend(all.map(|path| (path, "en")));
        for report in links(&page, &format!("{site}/report/")) {
            for (language, _) in NEVER {
                pages.push((format!("{report}&lang={language}"), language));
            }
        }
        pages.push((visit, "en"));
    }
    for unit in played.player.units.values() {
        pages.push((format!("{site}/units/{unit}"), "en"));
        for (language, _) in NEVER {
            pages.push((format!("{site}/report/unit?unit={unit}&lang={language}"), language));
        }
    }
    assert!(pages.len() > 150, "{}", pages.len());
    for (path, language) in pages {
        let page = played.desk.page(&played.hall, &path).to_lowercase();
        let words = NEVER.iter().find(|(own, _)| *own == language).unwrap().1;
        for words in words {
            assert!(!page.contains(words), "{path} says {words:?}");
        }
    }
}
