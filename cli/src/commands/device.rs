//! `device`: codes for new devices, and what devices may do. Orders go to the hub at once.

use client_core::exchange::enrol;
use client_core::exchange::frame;
use client_core::exchange::office::{DeviceRow, Order, OrderReply, PATH};
use client_core::present::Names as _;
use client_core::record::code::Role;
use client_core::record::id::{DeviceId, SiteId};
use client_core::record::value::Moment;
use serde_json::json;

use crate::book::Book;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::find::{Candidate, pick};
use crate::pairs;
use crate::ui::Tone;

/// Make codes for new devices, list devices, change or take away what one may do
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Make a one-time code for a person's new device; good for ten minutes
    Code {
        /// The role: technician, supervisor, office
        #[arg(value_parser = pairs::role)]
        role: Role,
        /// The person; without one the joining person names themselves
        #[arg(long)]
        person: Option<String>,
        /// A site that the device may follow; without one every site
        #[arg(long)]
        site: Vec<String>,
    },
    /// List all devices
    List,
    /// Give a device another role or other sites
    Grant {
        /// The device, by its label or id
        device: String,
        /// The role: technician, supervisor, office
        #[arg(long, value_parser = pairs::role)]
        role: Role,
        /// A site that it may follow; without one every site
        #[arg(long)]
        site: Vec<String>,
    },
    /// Take a device's right to write away; what it sends later waits for a supervisor
    Revoke {
        /// The device, by its label or id
        device: String,
        /// Why
        #[arg(long)]
        because: String,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    match &args.what {
        What::Code { role, person, site } => {
            let person = match person {
                Some(typed) => Some(book.find_person(typed)?),
                None => None,
            };
            let sites = sites(&book, site)?;
            match order(desk, &Order::NewCode { person, role: *role, sites })? {
                OrderReply::Code { code, token, until } => say_code(desk, &code, &token, until),
                other => Err(unexpected(&other)),
            }
        }
        What::List => {
            let rows = devices(desk)?;
            list(desk, &book, &rows)
        }
        What::Grant { device, role, site } => {
            let device = find(&devices(desk)?, &book, device)?;
            let sites = sites(&book, site)?;
            done(desk, &Order::Grant { device, role: *role, sites })
        }
        What::Revoke { device, because } => {
            let device = find(&devices(desk)?, &book, device)?;
            done(desk, &Order::Revoke { device, reason: because.clone() })
        }
    }
}

fn sites(book: &Book, typed: &[String]) -> Result<Option<Vec<SiteId>>, Trouble> {
    if typed.is_empty() {
        return Ok(None);
    }
    typed.iter().map(|site| book.find_site(Some(site))).collect::<Result<_, _>>().map(Some)
}

fn say_code(desk: &mut Desk<'_>, code: &str, token: &str, until: i64) -> Result<(), Trouble> {
    let address = desk.device()?.identity().address.clone();
    let link = format!("{address}/join#{token}");
    let until = Moment { secs: until, offset_min: desk.now().offset_min };
    if desk.ui.manners.json {
        return desk.ui.json(&json!({ "code": code, "link": link, "until": until.to_string() }));
    }
    desk.ui.line(&format!("code  {}", enrol::show(code)))?;
    desk.ui.line(&format!("link  {link}"))?;
    desk.ui.talk(Tone::Dim, &format!("for one device, until {}", until.clock()));
    Ok(())
}

fn list(desk: &mut Desk<'_>, book: &Book, rows: &[DeviceRow]) -> Result<(), Trouble> {
    let offset_min = desk.now().offset_min;
    let moment = |secs| Moment { secs, offset_min };
    if desk.ui.manners.json {
        let rows: Vec<_> = rows
            .iter()
            .map(|row| {
                json!({
                    "device": row.device.to_string(),
                    "label": row.label,
                    "person": row.person.to_string(),
                    "name": book.person(row.person),
                    "role": row.role.key(),
                    "sites": row.sites.as_ref().map(|sites| {
                        sites.iter().map(ToString::to_string).collect::<Vec<_>>()
                    }),
                    "given": moment(row.given).to_string(),
                    "revoked": row.revoked,
                    "seen": row.seen.map(|secs| moment(secs).to_string()),
                    "clock_ahead_s": row.ahead_s,
                })
            })
            .collect();
        return desk.ui.json(&json!(rows));
    }
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let sites = row.sites.as_ref().map_or_else(
                || "every site".to_owned(),
                |sites| sites.iter().map(|site| book.site(*site)).collect::<Vec<_>>().join(", "),
            );
            let state = match (&row.revoked, row.seen) {
                (Some(why), _) => format!("revoked: {why}"),
                (None, Some(secs)) => format!("seen {}", moment(secs).clock()),
                (None, None) => String::new(),
            };
            let person = book.person(row.person);
            vec![row.device.short(), row.label.clone(), person, row.role.says().to_owned(), sites, state]
        })
        .collect();
    desk.ui.table(&["device", "label", "person", "role", "sites", "state"], &rows)
}

fn devices(desk: &mut Desk<'_>) -> Result<Vec<DeviceRow>, Trouble> {
    match order(desk, &Order::Devices)? {
        OrderReply::Devices(rows) => Ok(rows),
        other => Err(unexpected(&other)),
    }
}

fn find(rows: &[DeviceRow], book: &Book, typed: &str) -> Result<DeviceId, Trouble> {
    let candidates: Vec<Candidate<DeviceId>> = rows
        .iter()
        .map(|row| Candidate {
            id: row.device,
            whole: row.device.to_string(),
            names: vec![row.label.clone()],
            shown: format!("{} of {} ({})", row.label, book.person(row.person), row.device.short()),
        })
        .collect();
    Ok(pick("device", typed, &candidates)?)
}

fn done(desk: &mut Desk<'_>, wanted: &Order) -> Result<(), Trouble> {
    match order(desk, wanted)? {
        OrderReply::Done => {
            desk.ui.talk(Tone::Dim, "done; devices follow as they exchange");
            if desk.ui.manners.json {
                desk.ui.json(&json!({ "done": true }))?;
            }
            Ok(())
        }
        other => Err(unexpected(&other)),
    }
}

/// Sends an office order and reads the answer.
pub(super) fn order(desk: &mut Desk<'_>, order: &Order) -> Result<OrderReply, Trouble> {
    let address = desk.device()?.identity().address.clone();
    let body = desk.device()?.order(order);
    let mut wire = desk.wire(&address)?;
    let answer = wire.post(PATH, &body)?;
    let body = super::exchange::body(answer)?;
    let reply: OrderReply = frame::decode(&body, frame::REPLY_BYTES_MAX)?;
    match reply {
        OrderReply::Refused(words) => Err(Trouble::Hub { status: 200, words }),
        other => Ok(other),
    }
}

/// An answer that does not belong to the order.
pub(super) fn unexpected(reply: &OrderReply) -> Trouble {
    let words = match reply {
        OrderReply::Refused(words) => words.clone(),
        _ => "something else than was asked; bring both programs up to date".to_owned(),
    };
    Trouble::Hub { status: 200, words }
}
