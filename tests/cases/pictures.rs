//! Pictures: files by their hash, and the talk that moves them between devices and a hub.

use std::collections::BTreeMap;
use std::time::{Duration, SystemTime};

use client_core::device::{Device, PhotoHeard, PhotoTalk, PhotosWaiting, Step};
use client_core::exchange::frame::{decode, encode};
use client_core::exchange::photo::{
    PATH, PHOTO_BYTES_MAX, PhotoAnswer, PhotoAsk, PhotoName, PhotoReply, PhotoStep, REPLY_BYTES_MAX,
};
use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::store::pictures::{Has, Pictures, digits, hash_of};
use server::hub::Turn;
use tests::net::TempFolder;

use crate::hub_rules::{SITE, Yard, begin, meet, order};
use crate::thread::{NOW, stamp};

const SHEET: DocId = DocId::new(SITE, DocKind::Sheet(VisitId([2; 8]), ApplianceId([1; 8])));

/// A device with its pictures.
struct Hand {
    device: Device,
    files: BTreeMap<[u8; 32], Vec<u8>>,
    begun: BTreeMap<[u8; 32], Vec<u8>>,
}

fn hash(picture: &[u8]) -> [u8; 32] {
    *blake3::hash(picture).as_bytes()
}

/// Bytes that no other seed has.
fn picture(seed: u8, bytes: usize) -> Vec<u8> {
    let mut out = vec![0; bytes];
    blake3::Hasher::new().update(&[seed]).finalize_xof().fill(&mut out);
    out
}

impl Hand {
    fn new(device: Device) -> Hand {
        Hand { device, files: BTreeMap::new(), begun: BTreeMap::new() }
    }

    fn take(&mut self, large: &[u8], small: &[u8]) {
        let photo = Photo {
            hash: hash(large).to_vec(),
            subject: "plate".to_owned(),
            phase: None,
            size: u64::try_from(large.len()).ok(),
            of: None,
            small: Some(hash(small).to_vec().into()),
        };
        let by = stamp(&self.device, NOW);
        self.device.act(&[Step::new(SHEET, Action::Enter(vec![photo.into()]))], &by).unwrap();
        for (bytes, is_small) in [(large, false), (small, true)] {
            self.files.insert(hash(bytes), bytes.to_vec());
            self.device.photo_here(SHEET, hash(bytes), is_small).unwrap();
        }
    }

    fn waiting(&self) -> (u64, u64) {
        let PhotosWaiting { up, down } = self.device.photos_waiting().unwrap();
        (up, down)
    }

    /// One request of a talk; false when nothing is left. `cut` loses the reply.
    fn piece(&mut self, talk: &mut PhotoTalk, yard: &mut Yard, cut: bool) -> bool {
        let Some(mut next) = self.device.photo_next(talk).unwrap() else { return false };
        let (mut piece, mut size) = (vec![], 0);
        if next.up {
            let Some(file) = self.files.get(&next.hash) else {
                self.device.photo_lost(talk).unwrap();
                return true;
            };
            let at = usize::try_from(next.at).unwrap().min(file.len());
            piece = file[at..file.len().min(at + next.most)].to_vec();
            size = u64::try_from(file.len()).unwrap();
        } else if next.at == 0 {
            next.at = u64::try_from(self.begun.get(&next.hash).map_or(0, Vec::len)).unwrap();
            talk.begun(next.at);
        }
        let request = self.device.photo_request(talk, NOW, &piece, size).unwrap();
        let reply = encode(&yard.hub.photo(NOW, &request).unwrap());
        if cut {
            return true;
        }
        if let PhotoHeard::Piece { at, piece, last } =
            self.device.photo_reply(talk, &reply).unwrap()
        {
            let begun = self.begun.entry(next.hash).or_default();
            begun.truncate(usize::try_from(at).unwrap());
            begun.extend(piece);
            if last {
                let whole = self.begun.remove(&next.hash).unwrap();
                if hash(&whole) == next.hash {
                    self.files.insert(next.hash, whole);
                    self.device.photo_over(talk).unwrap();
                } else {
                    talk.bent();
                }
            }
        }
        true
    }

    /// A talk until nothing is left; says how many requests it took.
    fn carry(&mut self, yard: &mut Yard) -> usize {
        let mut talk = PhotoTalk::default();
        (0..1_000).find(|_| !self.piece(&mut talk, yard, false)).expect("a talk has an end")
    }

    fn fetch(&mut self, yard: &mut Yard) {
        let trip = meet(&mut self.device, &mut yard.hub);
        self.device.want_photos_of(&trip.report).unwrap();
    }
}

/// A hub that keeps pictures, a technician who has something to send, and another one.
fn company(seed: u64) -> (TempFolder, Yard, Hand, Hand) {
    let folder = TempFolder::new("pictures");
    let mut yard = Yard::new(seed);
    yard.hub.keep_photos(files(&folder));
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    let mut hands = ["Ilse", "Dov"].map(|name| {
        let mut device = yard.join(name, Role::Technician, Some(vec![SITE]));
        meet(&mut device, &mut yard.hub);
        Hand::new(device)
    });
    hands[0].take(&picture(1, 130_000), &picture(2, 5_000));
    meet(&mut hands[0].device, &mut yard.hub);
    let [one, other] = hands;
    (folder, yard, one, other)
}

fn files(folder: &TempFolder) -> Pictures {
    Pictures::new(folder.join("photos"))
}

#[test]
fn a_picture_comes_in_pieces_and_goes_on_where_it_was_cut() {
    let folder = TempFolder::new("pictures");
    let files = files(&folder);
    let picture: Vec<u8> = (0..100_u8).collect();
    let hash = hash(&picture);
    assert_eq!(files.has(&hash).unwrap(), Has::Begun(0));
    assert_eq!(files.put(&hash, 100, 0, &picture[..40]).unwrap(), Has::Begun(40));
    assert_eq!(files.put(&hash, 100, 0, &picture[..40]).unwrap(), Has::Begun(40), "again");
    assert_eq!(files.put(&hash, 100, 60, &picture[60..]).unwrap(), Has::Begun(40), "a gap");
    assert_eq!(files.piece(&hash, 0, 10).unwrap(), None, "not whole");
    assert_eq!(files.put(&hash, 100, 40, &picture[40..]).unwrap(), Has::Whole(100));
    assert_eq!(files.put(&hash, 100, 40, &picture[40..]).unwrap(), Has::Whole(100), "again");
    assert_eq!(files.piece(&hash, 90, 50).unwrap(), Some((100, picture[90..].to_vec())));
    assert_eq!(files.piece(&hash, 200, 50).unwrap(), Some((100, vec![])));
    assert_eq!(files.read(&hash).unwrap(), Some(picture));
}

#[test]
fn bytes_that_are_not_the_picture_are_thrown_away() {
    let folder = TempFolder::new("pictures");
    let files = files(&folder);
    let hash = hash(b"picture");
    assert_eq!(files.put(&hash, 3, 0, b"bad").unwrap(), Has::Begun(0));
    assert_eq!(files.put(&hash, 3, 0, b"too long").unwrap(), Has::Begun(0));
    assert_eq!(files.put(&hash, u64::MAX, 0, b"x").unwrap(), Has::Begun(0));
    // Somebody began it with more than there is of it: whoever has the picture goes on all the same.
    assert_eq!(files.put(&hash, 99, 0, b"something else").unwrap(), Has::Begun(14));
    assert_eq!(files.put(&hash, 7, 0, b"picture").unwrap(), Has::Begun(0));
    assert_eq!(files.put(&hash, 7, 0, b"picture").unwrap(), Has::Whole(7));
}

#[test]
fn what_was_begun_long_ago_is_swept_and_only_whole_pictures_are_copied() {
    let [folder, other, third] = ["one", "other", "third"].map(TempFolder::new);
    let files = files(&folder);
    let (whole, begun) = (hash(b"whole"), hash(b"begun"));
    files.put(&whole, 5, 0, b"whole").unwrap();
    files.put(&begun, 5, 0, b"beg").unwrap();
    let copy = self::files(&other);
    assert_eq!(files.copy_to(&copy).unwrap(), 1);
    assert_eq!(files.copy_to(&copy).unwrap(), 0, "it is there");
    assert_eq!(copy.read(&whole).unwrap().as_deref(), Some(&b"whole"[..]));
    files.sweep(SystemTime::now()).unwrap();
    assert_eq!(files.has(&begun).unwrap(), Has::Begun(3));
    files.sweep(SystemTime::now() + Duration::from_secs(40 * 86_400)).unwrap();
    assert_eq!(files.has(&begun).unwrap(), Has::Begun(0));
    assert_eq!(files.has(&whole).unwrap(), Has::Whole(5));
    let name = digits(&whole);
    std::fs::write(folder.join("photos").join(&name[..2]).join(&name), b"rotten").unwrap();
    assert_eq!(files.copy_to(&self::files(&third)).unwrap(), 0, "rot is not carried on");
}

#[test]
fn a_picture_s_name_is_digits_and_nothing_else() {
    let hash = [0xab; 32];
    assert_eq!(hash_of(&digits(&hash)), Some(hash));
    assert_eq!(hash_of(&digits(&hash).to_uppercase()), None);
    assert_eq!(hash_of("../../log.redb"), None);
    assert_eq!(hash_of(""), None);
}

#[test]
fn a_photo_travels_to_the_hub_and_its_small_one_to_the_colleague() {
    let (folder, mut yard, mut ilse, mut dov) = company(1);
    assert_eq!(ilse.waiting(), (2, 0));
    assert_eq!(ilse.carry(&mut yard), 4, "one small piece, three large ones");
    assert_eq!(ilse.waiting(), (0, 0));
    assert_eq!(ilse.carry(&mut yard), 0, "nothing is sent twice");
    assert_eq!(files(&folder).has(&hash(&picture(1, 130_000))).unwrap(), Has::Whole(130_000));

    dov.fetch(&mut yard);
    assert_eq!(dov.waiting(), (0, 1), "only the small one is asked for");
    dov.carry(&mut yard);
    assert_eq!(dov.files.get(&hash(&picture(2, 5_000))), Some(&picture(2, 5_000)));
    let large = hash(&picture(1, 130_000));
    assert!(!dov.files.contains_key(&large));
    dov.device.photo_wanted(SHEET, large, false).unwrap();
    dov.device.photo_wanted(SHEET, large, false).unwrap();
    assert_eq!(dov.waiting(), (0, 1));
    dov.carry(&mut yard);
    assert_eq!(dov.files.get(&large), Some(&picture(1, 130_000)));
    assert_eq!(dov.waiting(), (0, 0));
}

#[test]
fn a_reply_lost_at_every_piece_loses_nothing() {
    for lost in 0..4 {
        let (folder, mut yard, mut ilse, mut dov) = company(2 + lost);
        let mut talk = PhotoTalk::default();
        for piece in 0..=lost {
            ilse.piece(&mut talk, &mut yard, piece == lost);
        }
        ilse.carry(&mut yard);
        assert_eq!(ilse.waiting(), (0, 0), "reply {lost} lost");
        assert_eq!(
            files(&folder).read(&hash(&picture(1, 130_000))).unwrap(),
            Some(picture(1, 130_000))
        );
        dov.device.photo_wanted(SHEET, hash(&picture(1, 130_000)), false).unwrap();
        dov.fetch(&mut yard);
        let mut talk = PhotoTalk::default();
        for piece in 0..=lost {
            dov.piece(&mut talk, &mut yard, piece == lost);
        }
        dov.carry(&mut yard);
        assert_eq!((dov.waiting(), dov.files.len()), ((0, 0), 2), "reply {lost} lost");
    }
}

#[test]
fn a_picture_goes_on_after_both_were_stopped() {
    let (folder, mut yard, mut ilse, _) = company(8);
    let mut talk = PhotoTalk::default();
    ilse.piece(&mut talk, &mut yard, false);
    ilse.piece(&mut talk, &mut yard, false);
    let log = yard.disk.log.content();
    yard.restart(log, None);
    yard.hub.keep_photos(files(&folder));
    assert!(matches!(files(&folder).has(&hash(&picture(1, 130_000))).unwrap(), Has::Begun(1..)));
    assert!(ilse.carry(&mut yard) <= 4);
    assert_eq!(files(&folder).has(&hash(&picture(1, 130_000))).unwrap(), Has::Whole(130_000));
}

#[test]
fn a_file_that_is_bent_on_the_phone_is_given_up_until_the_next_talk() {
    let (_folder, mut yard, mut ilse, _) = company(9);
    let large = hash(&picture(1, 130_000));
    ilse.files.get_mut(&large).unwrap()[0] ^= 1;
    assert!(ilse.carry(&mut yard) < 16);
    assert_eq!(ilse.waiting(), (1, 0), "the small one went");
    ilse.files.insert(large, picture(1, 130_000));
    ilse.carry(&mut yard);
    assert_eq!(ilse.waiting(), (0, 0));
}

#[test]
fn a_file_that_is_gone_from_the_phone_is_wanted_from_the_hub() {
    let (_folder, mut yard, mut ilse, _) = company(10);
    let large = hash(&picture(1, 130_000));
    ilse.files.remove(&large);
    ilse.carry(&mut yard);
    assert_eq!(ilse.waiting(), (0, 1));
    ilse.carry(&mut yard);
    assert_eq!(ilse.waiting(), (0, 1), "nobody has it yet");
}

#[test]
fn a_picture_that_the_hub_lost_comes_back_from_whoever_has_it() {
    let (folder, mut yard, mut ilse, mut dov) = company(11);
    ilse.carry(&mut yard);
    std::fs::remove_dir_all(folder.join("photos")).unwrap();
    dov.fetch(&mut yard);
    dov.carry(&mut yard);
    assert_eq!(dov.waiting(), (0, 1), "the hub does not have it");
    // Something else makes Ilse talk about pictures; the hub says then what it misses.
    ilse.take(&picture(3, 900), &picture(4, 300));
    meet(&mut ilse.device, &mut yard.hub);
    ilse.carry(&mut yard);
    assert_eq!(ilse.waiting(), (0, 0));
    dov.carry(&mut yard);
    assert_eq!(dov.files.get(&hash(&picture(2, 5_000))), Some(&picture(2, 5_000)));

    // A phone whose store was made anew has its pictures still, and is asked whether it has them.
    std::fs::remove_dir_all(folder.join("photos")).unwrap();
    let large = hash(&picture(1, 130_000));
    dov.device.photo_wanted(SHEET, large, false).unwrap();
    dov.carry(&mut yard);
    let mut anew = Hand::new(yard.join("Ilse again", Role::Technician, Some(vec![SITE])));
    meet(&mut anew.device, &mut yard.hub);
    anew.files = ilse.files.clone();
    anew.take(&picture(5, 900), &picture(6, 300));
    meet(&mut anew.device, &mut yard.hub);
    let mut talk = PhotoTalk::default();
    let mut looked_for = vec![];
    while anew.piece(&mut talk, &mut yard, false) {
        looked_for.extend(talk.looked_for());
    }
    assert!(looked_for.contains(&PhotoName::new(SHEET, large)), "{looked_for:?}");
    for name in looked_for {
        anew.device.photo_here(name.doc().unwrap(), name.hash, false).unwrap();
    }
    anew.carry(&mut yard);
    dov.carry(&mut yard);
    assert_eq!(dov.files.get(&large), Some(&picture(1, 130_000)));
}

/// Asks what a device's own code would not ask.
fn ask(
    yard: &mut Yard,
    device: &mut Device,
    name: PhotoName,
    step: PhotoStep,
) -> Option<PhotoAnswer> {
    let request = device.signed_request(PATH, NOW, &encode(&PhotoAsk { name, step }));
    let reply = encode(&yard.hub.photo(NOW, &request).unwrap());
    decode::<PhotoReply>(&reply, REPLY_BYTES_MAX).unwrap().answer
}

#[test]
fn a_picture_that_no_record_names_is_neither_taken_nor_given() {
    let (folder, mut yard, mut ilse, _) = company(12);
    ilse.carry(&mut yard);
    let named = hash(&picture(1, 130_000));
    let other_site = DocId { site: SiteId([8; 8]), ..SHEET };
    let stranger = yard.join("Noor", Role::Technician, Some(vec![SiteId([8; 8])]));
    let mut devices = [ilse.device, stranger];
    let put = || PhotoStep::Put { size: 4, at: 0, piece: b"junk".to_vec().into() };
    let get = || PhotoStep::Get { at: 0 };
    for (who, name, step) in [
        (0, PhotoName::new(SHEET, hash(b"junk")), put()),
        (0, PhotoName::new(SHEET, hash(b"junk")), get()),
        (0, PhotoName::new(other_site, named), get()),
        (0, PhotoName { doc: vec![9, 9].into(), ..PhotoName::new(SHEET, named) }, get()),
        (1, PhotoName::new(SHEET, named), get()),
        (1, PhotoName::new(other_site, named), get()),
    ] {
        let answer = ask(&mut yard, &mut devices[who], name, step);
        assert_eq!(answer, Some(PhotoAnswer::NotNamed));
    }
    assert_eq!(files(&folder).has(&hash(b"junk")).unwrap(), Has::Begun(0));
}

#[test]
fn lies_about_a_picture_s_size_lead_nowhere() {
    let (folder, mut yard, mut ilse, _) = company(13);
    let large = hash(&picture(1, 130_000));
    let name = || PhotoName::new(SHEET, large);
    let put = |size, at, piece: &[u8]| PhotoStep::Put { size, at, piece: piece.to_vec().into() };
    for (step, bytes) in [
        (put(130_000, 7, b"x"), 0),
        (put(1, 0, b"xx"), 0),
        (put(1, 0, b"x"), 0),
        (put(0, 0, b""), 0),
        (put(5, u64::MAX, b"x"), 0),
    ] {
        let answer = ask(&mut yard, &mut ilse.device, name(), step);
        assert_eq!(answer, Some(PhotoAnswer::Has { bytes, whole: false }));
    }
    for step in
        [put(PHOTO_BYTES_MAX + 1, 0, b"x"), put(PHOTO_BYTES_MAX, 0, &vec![0; 256 * 1024 + 1])]
    {
        let answer = ask(&mut yard, &mut ilse.device, name(), step);
        assert!(matches!(answer, Some(PhotoAnswer::Refused(_))), "{answer:?}");
    }
    let far = ask(&mut yard, &mut ilse.device, name(), PhotoStep::Get { at: u64::MAX });
    assert_eq!(far, Some(PhotoAnswer::Lacks));
    ilse.carry(&mut yard);
    assert_eq!(files(&folder).has(&large).unwrap(), Has::Whole(130_000));
}

#[test]
fn a_recorded_request_about_a_picture_does_nothing_the_second_time() {
    let (_folder, mut yard, mut ilse, _) = company(14);
    let mut talk = PhotoTalk::default();
    let next = ilse.device.photo_next(&mut talk).unwrap().unwrap();
    let piece = ilse.files[&next.hash].clone();
    let size = u64::try_from(piece.len()).unwrap();
    let request = ilse.device.photo_request(&talk, NOW, &piece, size).unwrap();
    assert!(yard.hub.photo(NOW, &request).unwrap().answer.is_some());
    let again = yard.hub.photo(NOW, &request).unwrap();
    assert!(again.answer.is_none() && again.counter.is_some());
    ilse.device.photo_reply(&mut talk, &encode(&again)).unwrap();
    ilse.carry(&mut yard);
    assert_eq!(ilse.waiting(), (0, 0));
    let mut bent = request.clone();
    *bent.last_mut().unwrap() ^= 1;
    assert!(matches!(yard.hub.photo(NOW, &bent), Err(Turn::Signature | Turn::Frame(_))));
    let mut boss = yard.join("Wim", Role::Supervisor, None);
    let device = ilse.device.identity().device();
    let revoke = client_core::exchange::office::Order::Revoke { device, reason: "lost".to_owned() };
    order(&mut yard.hub, &mut boss, NOW, &revoke).unwrap();
    let late = ilse.device.signed_request(
        PATH,
        NOW,
        &encode(&PhotoAsk {
            name: PhotoName::new(SHEET, hash(&piece)),
            step: PhotoStep::Get { at: 0 },
        }),
    );
    assert!(matches!(yard.hub.photo(NOW, &late), Err(Turn::Revoked)));
}
