//! A true hub with the invented scenario in it, for browsers to run against.
//!
//! It obeys lines on its input and answers each with one line of JSON: `code NAME` gives a code that makes
//! a phone NAME's; `stop` stops the hub, `start` starts it again at the same address; `phone FOLDER` hands
//! out other files from now on; `visits N` plans so many more visits, for a long list. It ends when its input
//! ends.

use std::io::BufRead as _;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;

use client_core::record::code::Role;
use serde_json::{Value, json};
use server::config::Settings;
use server::quota::Quota;
use server::serve::{Parts, Server};
use tests::net::{TempFolder, Wrong};

use crate::scene::{Scene, StoryClock};

/// Runs until the input ends.
pub(crate) fn run(phone: &Path, port: u16) -> Result<(), Wrong> {
    let folder = TempFolder::new("browser");
    let mut settings = Settings {
        listen: SocketAddr::new(Ipv4Addr::LOCALHOST.into(), port),
        phone: Some(phone.to_path_buf()),
        // Two years are played in a second, and every phone of a test has the same address.
        quota: Quota { requests_per_s: 0, bytes_per_hour: 0, ..Settings::in_folder("").quota },
        ..Settings::in_folder(folder.join("hub"))
    };
    let clock = StoryClock::default();
    let first = Server::start(&settings, clock.parts())?;
    settings.listen = first.address();
    let mut scene = Scene::play(&first, &clock)?;
    println!("{}", json!({ "url": first.url() }));
    let mut server = Some(first);
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let answer = obey(&line, &mut server, &mut settings, &mut scene)
            .unwrap_or_else(|wrong| json!({ "wrong": wrong.to_string() }));
        println!("{answer}");
    }
    if let Some(server) = server.take() {
        server.stop();
    }
    Ok(())
}

fn obey(
    line: &str,
    server: &mut Option<Server>,
    settings: &mut Settings,
    scene: &mut Scene,
) -> Result<Value, Wrong> {
    let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
    match word {
        "code" => {
            let role = if rest == "Oriane" { Role::Supervisor } else { Role::Technician };
            return Ok(json!({ "code": scene.code(rest, role)? }));
        }
        "visits" => scene.visits(rest.parse()?)?,
        "stop" => {
            if let Some(own) = server.take() {
                own.stop();
            }
        }
        "start" if server.is_none() => *server = Some(Server::start(settings, Parts::default())?),
        "phone" => {
            settings.phone = Some(rest.into());
            if let Some(own) = server.take() {
                own.stop();
            }
            *server = Some(Server::start(settings, Parts::default())?);
        }
        _ => return Err(format!("there is no command '{line}'").into()),
    }
    Ok(json!({ "done": word }))
}
