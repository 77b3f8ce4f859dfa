//! Photos on the pages.

use client_core::device::Step;
use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::store::pictures::digits;

use super::{Firm, PICTURE, SITE, UNIT, VISIT, exchange, firm, visit_path};
use crate::thread::{NOW, stamp};

const SHEET: DocId = DocId::new(SITE, DocKind::Sheet(VISIT, UNIT));

/// A picture that begins as one.
const JPEG: &[u8] = b"\xff\xd8\xff\xe0 and so on";

fn enter(firm: &mut Firm, picture: &[u8], small: Option<&[u8]>) {
    let hash = |bytes: &[u8]| blake3::hash(bytes).as_bytes().to_vec();
    let photo = Photo {
        hash: hash(picture),
        subject: "plate <b>".to_owned(),
        phase: None,
        size: None,
        of: None,
        small: small.map(|small| hash(small).into()),
    };
    let by = stamp(&firm.ilse, NOW);
    let entered = Action::Enter(vec![photo.into()]);
    firm.ilse.act(&[Step::new(SHEET, entered)], &by).unwrap();
    exchange(&firm.hall, &mut firm.ilse);
}

fn name(picture: &[u8]) -> String {
    digits(blake3::hash(picture).as_bytes())
}

/// A picture that a photo names and that has come to the hub.
pub(super) fn photo(firm: &mut Firm) {
    enter(firm, PICTURE, None);
    arrived(firm, PICTURE);
}

fn arrived(firm: &Firm, picture: &[u8]) {
    let (hash, size) = (*blake3::hash(picture).as_bytes(), u64::try_from(picture.len()).unwrap());
    firm.hall.pictures.put(&hash, size, 0, picture).unwrap();
}

#[test]
fn a_photo_is_shown_small_leads_to_the_large_one_and_says_what_has_not_come() {
    let mut firm = firm(170);
    enter(&mut firm, JPEG, Some(b"\xff\xd8\xff small"));
    let page = firm.desk.page(&firm.hall, &visit_path());
    assert!(page.contains("on the phone of Ilse still"), "{page}");
    assert!(page.contains("plate &lt;b&gt;") && !page.contains("plate <b>"), "{page}");

    let (small, large) = (name(b"\xff\xd8\xff small"), name(JPEG));
    let path = |hash: &str| format!("{}/photo/{UNIT}/{hash}", visit_path());
    arrived(&firm, b"\xff\xd8\xff small");
    let page = firm.desk.page(&firm.hall, &visit_path());
    assert!(page.contains(&format!("src=\"{}\"", path(&small))), "{page}");
    assert!(page.contains("the large picture has not come yet"), "{page}");
    assert_eq!(firm.desk.get(&firm.hall, &path(&large)).status, 404);

    arrived(&firm, JPEG);
    let page = firm.desk.page(&firm.hall, &visit_path());
    assert!(page.contains(&format!("href=\"{}\"", path(&large))), "{page}");
    let answer = firm.desk.get(&firm.hall, &path(&large));
    assert_eq!((answer.status, answer.body.as_slice()), (200, JPEG));
    let header = |name: &str| answer.headers[name].to_str().unwrap().to_owned();
    assert_eq!(header("content-type"), "image/jpeg");
    assert!(header("content-disposition").starts_with("attachment; filename=\"photo-"));
    assert_eq!(header("x-content-type-options"), "nosniff");
}

#[test]
fn a_picture_is_shown_only_by_the_sheet_that_names_it_and_never_as_a_page() {
    let mut firm = firm(171);
    let page: &[u8] = b"<html><script>alert(1)</script>";
    enter(&mut firm, page, None);
    arrived(&firm, page);
    arrived(&firm, JPEG);
    let path = |unit: &dyn std::fmt::Display, hash: &str| {
        format!("/review/sites/{SITE}/visits/{VISIT}/photo/{unit}/{hash}")
    };
    let answer = firm.desk.get(&firm.hall, &path(&UNIT, &name(page)));
    assert_eq!(answer.headers["content-type"].to_str().unwrap(), "application/octet-stream");
    let other = client_core::record::id::ApplianceId([9; 8]);
    for path in [
        path(&UNIT, &name(JPEG)),
        path(&other, &name(page)),
        path(&UNIT, &name(page).to_uppercase()),
        path(&UNIT, "x"),
    ] {
        assert_eq!(firm.desk.get(&firm.hall, &path).status, 404, "{path}");
    }
}
