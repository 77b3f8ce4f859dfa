//! What the typesetter may see: the template, the report's data, its drawings and the faces. No disk, no
//! network, no clock.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, World};

use super::{Lines, Paper, data};
use crate::layout::Report;

const TEMPLATE: &str = include_str!("report.typ");
/// Faces of the pages, packed as browsers take them.
const PACKED: [&[u8]; 2] = [
    include_bytes!("../../../../server/phone/static/fonts/hyper.woff2"),
    include_bytes!("../../../../server/phone/static/fonts/hyper-mono.woff2"),
];

/// The faces: ours first, then those that come with the typesetter, for letters that ours lack.
static FACES: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let own = PACKED.iter().map(|packed| {
        let unpacked = woff2_patched::decode::convert_woff2_to_ttf(&mut &packed[..]);
        Bytes::new(unpacked.expect("the faces that are compiled in can be unpacked"))
    });
    let others = typst_assets::fonts().map(Bytes::new);
    own.chain(others).flat_map(Font::iter).collect()
});
static BOOK: LazyLock<LazyHash<FontBook>> =
    LazyLock::new(|| LazyHash::new(FontBook::from_fonts(FACES.iter())));
static LIBRARY: LazyLock<LazyHash<Library>> =
    LazyLock::new(|| LazyHash::new(<Library as typst::LibraryExt>::default()));

/// The report's files.
pub(super) struct Sheets {
    main: Source,
    files: BTreeMap<String, Bytes>,
}

fn file(name: &str) -> FileId {
    let path = VirtualPath::new(name).expect("names of the files are our own");
    RootedPath::new(VirtualRoot::Project, path).intern()
}

impl Sheets {
    pub(super) fn of(report: &Report, paper: Paper, lines: Lines) -> Sheets {
        let data::Data { report, drawings } = data::of(report, paper, lines);
        let mut files: BTreeMap<String, Bytes> =
            drawings.into_iter().map(|(name, svg)| (name, Bytes::from_string(svg))).collect();
        files.insert("report.json".to_owned(), Bytes::from_string(report.to_string()));
        Sheets { main: Source::new(file("report.typ"), TEMPLATE.to_owned()), files }
    }
}

impl World for Sheets {
    fn library(&self) -> &LazyHash<Library> {
        &LIBRARY
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &BOOK
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() { Ok(self.main.clone()) } else { Err(FileError::NotSource) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let name = id.get().vpath().get_without_slash();
        let found = self.files.get(name).cloned();
        found.ok_or_else(|| FileError::NotFound(name.into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FACES.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}
