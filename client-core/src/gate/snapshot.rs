//! Whole documents. They are accepted from the enrolled hub only, under the same limits, and their
//! heads are compared with the ones named beside them.

use automerge::Automerge;

use super::scan::{Input, bound, chunk, count};
use super::{Turned, canary, limit};

/// Chunk type of a whole document.
const DOCUMENT: u8 = 0;

/// Loads a whole document that has exactly these heads (sorted). Columns must not be deflated.
pub fn load(bytes: &[u8], heads: &[[u8; 32]]) -> Result<Automerge, Turned> {
    let (_, body) = chunk(bytes, DOCUMENT, limit::DOC_BYTES_MAX)?;
    counted(body)?;
    canary::guarded(|| {
        let document = Automerge::load(bytes)
            .map_err(|wrong| Turned::Parse(wrong.to_string().chars().take(120).collect()))?;
        let mut found: Vec<[u8; 32]> =
            document.get_heads().into_iter().map(|head| head.0).collect();
        found.sort_unstable();
        if found != heads {
            return Err(Turned::Canary("its heads are not the ones it came with"));
        }
        canary::proven(&document)?;
        Ok(document)
    })
}

/// Counts actors, heads, changes and operations without expanding a run.
///
/// ```text
/// actors (count, (length, bytes) each) | heads (count, 32 each) | change columns (count, (spec, length)
/// each) | operation columns (likewise) | change data | operation data | head indexes
/// ```
fn counted(body: &[u8]) -> Result<(), Turned> {
    let mut input = Input(body);
    let actors = bound("number of actors", input.uleb()?, limit::DOC_ACTORS_MAX)?;
    for _ in 0..actors {
        let length = input.uleb()?;
        if length != 16 {
            return Err(Turned::Form("an actor is not 16 bytes long"));
        }
        input.take(length)?;
    }
    let heads = bound("number of heads", input.uleb()?, limit::DEPS_MAX)?;
    for _ in 0..heads {
        input.take(32)?;
    }
    let changes = headers(&mut input)?;
    let ops = headers(&mut input)?;
    for headers in [changes, ops] {
        let mut columns: Vec<(u32, &[u8])> = vec![];
        for (spec, length) in headers {
            columns.push((spec, input.take(length)?));
        }
        count(&columns, limit::DOC_ITEMS_MAX)?;
    }
    Ok(())
}

fn headers(input: &mut Input<'_>) -> Result<Vec<(u32, u64)>, Turned> {
    let found = bound("number of columns", input.uleb()?, limit::COLUMNS_MAX)?;
    let mut headers = vec![];
    for _ in 0..found {
        let spec = u32::try_from(input.uleb()?)
            .map_err(|_| Turned::Form("a column number is too large"))?;
        if spec & 0b1000 != 0 {
            return Err(Turned::Form("a column is deflated"));
        }
        headers.push((spec, input.uleb()?));
    }
    Ok(headers)
}
