//! The phone's screens as pure functions: no browser, the same program, fingers that obey and fingers that
//! do not.

use std::collections::{BTreeMap, BTreeSet};

use client_core::device::Device;
use client_core::record::id::ApplianceId;
use client_core::record::value::Moment;
use phone::app::App;
use phone::tap::Tap;
use tests::world::{Seeded, exchange};

use crate::thread::{NOW, load_site, three};

/// The program in somebody's hand.
struct Hand {
    app: App,
    secs: i64,
    taps: u32,
}

fn moment(secs: i64) -> Moment {
    Moment { secs, offset_min: -300 }
}

/// Everybody has the site; the phone is Ilse's.
fn ilse(seed: u64) -> Device {
    let mut all = three(seed);
    load_site(&mut all.boss, all.site);
    for device in [&mut all.boss, &mut all.ilse] {
        exchange(device, &mut all.hub, NOW, NOW, vec![]).unwrap();
    }
    all.ilse
}

impl Hand {
    fn new(seed: u64) -> Hand {
        Hand { app: App::open(ilse(seed), moment(NOW)).unwrap(), secs: NOW, taps: 0 }
    }

    fn tap(&mut self, words: &str) {
        self.tap_with(words, &[]);
    }

    fn tap_with(&mut self, words: &str, lines: &[(&str, &str)]) {
        self.secs += 3;
        self.taps += 1;
        let form: BTreeMap<String, String> =
            lines.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())).collect();
        self.app.tap(words, form, moment(self.secs));
    }

    fn page(&mut self) -> String {
        self.app.page()
    }

    fn place(&mut self) -> String {
        let page = self.page();
        between(&page, "data-place=\"", '"').next().unwrap_or_default().to_owned()
    }

    /// The tap of the key whose first word is this.
    fn press(&mut self, says: &str) {
        let page = self.page();
        let found = keys(&page).find(|(_, text)| text == says).map(|(tap, _)| tap);
        let Some(tap) = found else { panic!("no key says '{says}' on {}", self.place()) };
        self.tap(&tap);
    }

    fn digits(&mut self, digits: &str) {
        for digit in digits.chars() {
            self.tap(&format!("digit {digit}"));
        }
    }
}

/// What stands between a text and a letter, each time.
fn between<'a>(page: &'a str, from: &'a str, to: char) -> impl Iterator<Item = &'a str> {
    page.split(from).skip(1).filter_map(move |rest| rest.split(to).next())
}

/// Every key's tap and first words.
fn keys(page: &str) -> impl Iterator<Item = (String, String)> + '_ {
    page.split(" data-tap=\"").skip(1).filter_map(|rest| {
        let (tap, rest) = rest.split_once('"')?;
        let text = rest.split_once('>')?.1;
        let text = text.strip_prefix("<span>").unwrap_or(text);
        let text = text.split('<').next()?.trim();
        Some((plain(tap), plain(text)))
    })
}

fn plain(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// What holds for every page.
fn sound(page: &str, place: &str) {
    assert_eq!(page.matches("<main").count(), 1, "{place}: one main");
    assert_eq!(page.matches("<h1").count(), 1, "{place}: one heading of the first order");
    assert!(
        !page.contains("<script") && !page.contains(" style="),
        "{place}: the policy forbids it"
    );
    assert!(!page.contains("data-place=\"wrong\""), "{place}: {page}");
    for (tap, _) in keys(page) {
        assert!(tap.parse::<Tap>().is_ok(), "{place}: '{tap}' is no tap");
    }
    let ids: Vec<&str> = between(page, " id=\"", '"').collect();
    let different: BTreeSet<&&str> = ids.iter().collect();
    assert_eq!(ids.len(), different.len(), "{place}: an id stands twice: {ids:?}");
    for input in page.split("<input").skip(1) {
        let input = input.split('>').next().unwrap_or_default();
        assert!(input.contains(" name=") || input.contains("data-photo"), "{place}: {input}");
    }
}

const UNIT: ApplianceId = ApplianceId([1; 8]);

/// The visit of the site is in hand.
fn at_the_units(seed: u64) -> Hand {
    let mut hand = Hand::new(seed);
    if hand.place() == "sites" {
        let page = hand.page();
        let visit = keys(&page).find(|(tap, _)| tap.starts_with("visit ")).unwrap().0;
        hand.tap(&visit);
    }
    assert_eq!(hand.place(), "units");
    hand.taps = 0;
    hand
}

/// Source of the count: our own goal for a clean unit. The steps are common practice.
#[test]
fn a_clean_unit_takes_few_taps_and_nothing_is_asked_twice() {
    let mut hand = at_the_units(1);
    hand.tap(&format!("go unit {UNIT}"));
    hand.press("Take FOUND");
    hand.press("So it is");
    let figures = [
        ("Room CO", "0"),
        ("Inlet, firing", "690"),
        ("Manifold, high fire", "351"),
        ("Flame current", "41"),
    ];
    for (name, digits) in figures {
        let page = hand.page();
        assert!(page.contains(&format!(">{name}</h2>")), "not at {name}: {page}");
        hand.digits(digits);
        hand.tap("next");
    }
    // The draft is below zero, and the sign has its own key.
    hand.tap("minus");
    hand.digits("86");
    assert!(hand.page().contains("\u{2212}0.86"));
    hand.tap("next");
    for digits in ["87", "27", "403", "62"] {
        hand.digits(digits);
        hand.tap("next");
    }
    // The flue is entered: what it comes to is read before the air.
    assert!(hand.page().contains("CO air-free"), "{}", hand.page());
    hand.tap("next");
    for digits in ["62", "118"] {
        hand.digits(digits);
        hand.tap("next");
    }
    hand.tap("next");
    let words = hand.place();
    assert!(words.starts_with("entered"), "at {words}: {}", hand.page());
    let page = hand.page();
    assert!(page.contains("3.51 in w.c.") && page.contains("-0.86 in w.c."), "{page}");
    hand.press("Left as found");
    assert_eq!(hand.place(), "units");
    assert!(hand.taps < 45, "{} taps", hand.taps);
    // The condition was said once: the next unit goes straight to the figures.
    hand.tap(&format!("go stop {UNIT} as_left 0"));
    assert!(hand.place().starts_with("stop"), "at {}", hand.place());
}

#[test]
fn what_is_typed_survives_a_program_that_dies() {
    let mut hand = at_the_units(2);
    hand.tap(&format!("go unit {UNIT}"));
    hand.press("Take FOUND");
    hand.press("So it is");
    hand.digits("1");
    let before = hand.page();
    let app = App::open(hand.app.close(), moment(hand.secs)).unwrap();
    hand = Hand { app, ..hand };
    assert_eq!(hand.page(), before);
}

/// The copy beside the store keeps what is typed: another store takes it back.
#[test]
fn keys_that_were_typed_come_back_out_of_their_copy() {
    let mut hand = at_the_units(13);
    hand.tap(&format!("go unit {UNIT}"));
    hand.press("Take FOUND");
    hand.press("So it is");
    let before = hand.app.typed_changed();
    hand.digits("12");
    assert!(hand.app.typed_changed() > before, "a key makes the copy old");
    hand.tap_with("home", &[("note", "belt lo")]);
    let copy = hand.app.typed_copy().unwrap();
    assert!(phone::app::typed_is_whole(&copy));
    let mut again = at_the_units(13);
    for bent in [&copy[..copy.len() - 1], &copy[1..], b"", b"DRIPTYP1 and no more"] {
        assert!(!phone::app::typed_is_whole(bent));
        assert!(!again.app.take_typed(bent).unwrap());
    }
    assert!(again.app.take_typed(&copy).unwrap());
    again.tap(&format!("go stop {UNIT} as_found 0"));
    assert!(again.page().contains(">12</b>"), "{}", again.page());
    again.tap(&format!("go notes {UNIT}"));
    assert!(again.page().contains("belt lo"), "{}", again.page());
    // What is typed since is not replaced.
    again.tap_with("home", &[("note", "belt tight")]);
    assert!(again.app.take_typed(&copy).unwrap());
    again.tap(&format!("go notes {UNIT}"));
    assert!(again.page().contains("belt tight"), "{}", again.page());
}

#[test]
fn a_slip_is_asked_about_and_may_stand() {
    let mut hand = at_the_units(3);
    hand.tap(&format!("go one {UNIT} as_found manifold_high"));
    hand.digits("3510");
    hand.tap("next");
    let page = hand.page();
    assert!(page.contains("role=\"alert\""), "nothing was asked: {page}");
    let asked = keys(&page).find(|(_, text)| text == "So it is").unwrap().0;
    hand.tap(&asked);
    assert!(hand.page().contains("35.10 in w.c."), "{}", hand.page());
}

#[test]
fn what_somebody_types_stays_text() {
    let mut hand = at_the_units(4);
    let text = "<script>alert(1)</script> \"quoted\" & 5 > 3";
    hand.tap(&format!("go notes {UNIT}"));
    hand.tap_with(&format!("putnote {UNIT}"), &[("note", text)]);
    let page = hand.page();
    sound(&page, "notes");
    assert!(page.contains("&lt;script&gt;alert(1)"), "{page}");
}

/// An advisory with a drawn signature: it stands where the acknowledgement does, and under nothing else.
#[test]
fn a_drawn_signature_belongs_to_what_was_signed() {
    let mut hand = at_the_units(12);
    let advise = |hand: &mut Hand, text: &str| {
        hand.tap(&format!("go advise {UNIT}"));
        hand.tap("severity advise");
        hand.tap_with(&format!("putadvice {UNIT}"), &[("advice", text)]);
        assert!(hand.place().starts_with("told"), "at {}", hand.place());
        let page = hand.page();
        let name = between(&page, "data-draw=\"", '"').next().unwrap().to_owned();
        (keys(&page).find(|(tap, _)| tap.starts_with("puttold")).unwrap().0, name)
    };
    let (_, first) = advise(&mut hand, "vent sags");
    hand.tap_with("typed", &[(&first, "10,40 60,12;80,70")]);
    let page = hand.page();
    assert!(page.contains("d=\"M10 40L60 12M80 70h0\"") && page.contains("undraw"), "{page}");
    // Somebody else's advisory is not signed by it.
    let (second_tap, second) = advise(&mut hand, "belt loose");
    assert_ne!(first, second);
    assert!(!hand.page().contains("M10 40"), "{}", hand.page());
    hand.tap_with(&second_tap, &[("told", "shift lead"), (&second, "5,5 9,9")]);
    let page = hand.page();
    assert!(hand.place().starts_with("unit") && page.contains("d=\"M5 5L9 9\""), "{page}");
    assert_eq!(page.matches("class=\"sign done\"").count(), 1, "{page}");
    // The first is still there to be entered, and wiped with one key.
    let told = keys(&page).filter(|(tap, _)| tap.starts_with("go told")).collect::<Vec<_>>();
    hand.tap(&told[0].0);
    if !hand.page().contains("M10 40") {
        hand.tap(&told[1].0);
    }
    assert!(hand.page().contains("M10 40"), "{}", hand.page());
    hand.tap(&format!("undraw {first}"));
    assert!(!hand.page().contains("M10 40"), "{}", hand.page());
}

#[test]
fn what_waits_for_a_day_is_said_in_the_inverse() {
    let mut hand = at_the_units(7);
    assert!(hand.page().contains("Nothing waits on this phone"));
    hand.tap_with(&format!("putnote {UNIT}"), &[("note", "belt loose")]);
    assert!(hand.page().contains("1 entry only on this phone"));
    hand.secs += 24 * 3_600;
    hand.tap("home");
    let page = hand.page();
    assert!(page.contains("class=\"inv\"") && page.contains("for 24 h: exchange"), "{page}");
}

#[test]
fn a_label_or_a_number_finds_its_unit() {
    let mut hand = at_the_units(8);
    for label in ["UH-05", "uh-05", "https://hub.example.org/u#UH-05"] {
        hand.tap_with("label", &[("label", label)]);
        assert!(hand.place().starts_with("unit "), "'{label}' leads to {}", hand.place());
        hand.tap("home");
    }
    hand.tap_with("label", &[("label", "UH-99")]);
    assert!(hand.page().contains("No unit of this building has the label UH-99."));
    hand.tap("go find");
    for (words, there) in [("uh5", true), ("UH 05", true), ("boiler", false), ("", true)] {
        hand.tap_with("show all", &[("find", words)]);
        let page = hand.page();
        assert_eq!(page.contains(&format!("go unit {UNIT}")), there, "'{words}'");
    }
}

#[test]
fn a_timer_runs_on_every_screen_until_it_is_over() {
    let mut hand = at_the_units(9);
    hand.tap(&format!("go unit {UNIT}"));
    hand.tap("timer soak 300");
    hand.tap("home");
    let until = hand.secs - 3 + 300;
    assert!(hand.page().contains(&format!("data-until=\"{until}\"")), "{}", hand.page());
    hand.secs += 300;
    hand.tap("home");
    assert!(!hand.page().contains("data-until"));
}

#[test]
fn a_round_that_was_left_goes_on_where_the_hands_were() {
    let mut hand = at_the_units(11);
    hand.tap(&format!("go unit {UNIT}"));
    hand.press("Take FOUND");
    hand.press("So it is");
    for digits in ["0", "690"] {
        hand.digits(digits);
        hand.tap("next");
    }
    hand.tap("home");
    hand.tap(&format!("go unit {UNIT}"));
    let page = hand.page();
    assert!(page.contains("2 figures") && page.contains("stop 3 of 7"), "{page}");
    hand.press("Go on");
    assert!(hand.page().contains(">Manifold, high fire</h2>"), "{}", hand.page());
}

#[test]
fn not_reached_takes_two_taps() {
    let mut hand = at_the_units(10);
    hand.tap(&format!("go unit {UNIT}"));
    hand.taps = 0;
    hand.press("Not reached");
    hand.press("no lift");
    assert_eq!((hand.taps, hand.place().as_str()), (2, "units"));
    assert!(hand.page().contains("not reached"), "{}", hand.page());
}

/// Every screen that a key leads to, in every language and both systems of units.
#[test]
fn every_screen_that_can_be_reached_is_sound() {
    for (language, units) in [("en", "us"), ("fr", "metric"), ("es", "us")] {
        let mut hand = at_the_units(5);
        hand.tap(&format!("set language {language}"));
        hand.tap(&format!("set units {units}"));
        let mut seen = BTreeSet::new();
        let mut open = vec!["go units".to_owned()];
        while let Some(tap) = open.pop() {
            hand.tap(&tap);
            let page = hand.page();
            sound(&page, &tap);
            assert_eq!(page, hand.page(), "{tap}: the same view gives another page");
            assert!(page.contains(&format!("lang=\"{language}\"")), "{tap}");
            for (next, _) in keys(&page) {
                if next.starts_with("go ") && seen.insert(next.clone()) {
                    open.push(next);
                }
            }
        }
        let places: BTreeSet<&str> = seen.iter().filter_map(|tap| tap.split(' ').nth(1)).collect();
        assert!(places.len() > 30, "only {places:?}");
    }
}

/// Thousands of taps at random on whatever is there, with random words in the lines: always a sound page.
#[test]
fn fingers_at_random_find_no_way_out() {
    for seed in 0..6 {
        let mut random = Seeded::new(seed);
        let mut hand = at_the_units(6);
        for n in 0..400 {
            let page = hand.page();
            sound(&page, &format!("seed {seed}, tap {n}"));
            let keys: Vec<String> = keys(&page).map(|(tap, _)| tap).collect();
            let lines: Vec<(String, String)> = between(&page, " name=\"", '"')
                .map(|name| (name.to_owned(), words(&mut random)))
                .collect();
            let lines: Vec<(&str, &str)> =
                lines.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
            let tap =
                if keys.is_empty() { "back" } else { keys[random.index(keys.len())].as_str() };
            hand.tap_with(tap, &lines);
        }
        // Nothing was damaged on the way: the store opens and says the same.
        let before = hand.page();
        let app = App::open(hand.app.close(), moment(hand.secs)).unwrap();
        let mut again = Hand { app, secs: hand.secs, taps: 0 };
        let place = |page: &str| between(page, "data-place=\"", '"').next().map(str::to_owned);
        assert_eq!(place(&again.page()), place(&before));
    }
}

fn words(random: &mut Seeded) -> String {
    const SOME: [&str; 8] = [
        "",
        "0",
        "12.5",
        "-3",
        "2026-02-30",
        "<b>",
        "\u{1f525} h\u{e9}lice",
        "999999999999999999999",
    ];
    SOME[random.index(SOME.len())].to_owned()
}
