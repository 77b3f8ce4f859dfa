//! The description of the hub's HTTP interface, OpenAPI 3.1. Schemas come out of the types themselves; the
//! paths stand in one table that a test holds against the routes.

use std::sync::LazyLock;

use serde_json::{Map, Value, json};
use utoipa::OpenApi;

use super::SiteShown;
use crate::review::building::BuildingPage;
use crate::review::history::History;
use crate::review::home::{Home, SiteLine};
use crate::review::people::People;
use crate::review::question::UnitAsked;
use crate::review::search::Found;
use crate::review::visit::Visit;

/// What a path takes and gives.
#[derive(Clone, Copy)]
enum Gives {
    /// JSON by a schema.
    Json(&'static str),
    /// A list of such.
    List(&'static str),
    /// A page.
    Page,
    /// A form is taken; the browser is led on to a page.
    Form(&'static [&'static str]),
    /// A form is taken; options of the Web Authentication API come back as JSON.
    Asks(&'static [&'static str]),
    /// Frames both ways.
    Frame,
    /// Server-sent events for a frame.
    FrameEvents,
    /// Server-sent events.
    Events,
    /// Plain text.
    Text,
    /// Any file.
    File,
    /// This description.
    Itself,
}

struct Route {
    path: &'static str,
    post: bool,
    says: &'static str,
    signed_in: bool,
    gives: Gives,
}

const fn get(path: &'static str, says: &'static str, gives: Gives) -> Route {
    Route { path, post: false, says, signed_in: true, gives }
}

const fn form(path: &'static str, says: &'static str, fields: &'static [&'static str]) -> Route {
    Route { path, post: true, says, signed_in: true, gives: Gives::Form(fields) }
}

const fn open(post: bool, path: &'static str, says: &'static str, gives: Gives) -> Route {
    Route { path, post, says, signed_in: false, gives }
}

/// Every path of the hub.
const PATHS: &[Route] = &[
    open(true, "/exchange/1", "a device brings what is new and hears what is new", Gives::Frame),
    open(true, "/enrol/1", "a device joins with a one-time code", Gives::Frame),
    open(true, "/office/1", "a signed order: codes, devices, rights", Gives::Frame),
    open(true, "/bell/1", "stays open and tells which sites have news", Gives::FrameEvents),
    open(false, "/healthz", "the program answers", Gives::Text),
    open(false, "/readyz", "its stores are open and its queue has room", Gives::Text),
    open(false, "/metrics", "figures for Prometheus", Gives::Text),
    open(false, "/api/1/openapi.json", "this description", Gives::Itself),
    get("/api/1/home", "what waits, out of rows", Gives::Json("Home")),
    get("/api/1/sites", "sites, out of rows", Gives::List("SiteLine")),
    get("/api/1/sites/{site}", "a site's units and visits, out of rows", Gives::Json("SiteShown")),
    get(
        "/api/1/sites/{site}/building",
        "a building: causes, falls, proposals",
        Gives::Json("BuildingPage"),
    ),
    get("/api/1/sites/{site}/units/{unit}", "a unit through its visits", Gives::Json("History")),
    get("/api/1/sites/{site}/visits/{visit}", "a merged visit", Gives::Json("Visit")),
    get("/api/1/questions", "questions to manufacturers", Gives::List("UnitAsked")),
    get("/api/1/people", "people and devices", Gives::Json("People")),
    get("/api/1/search", "sites, units, visits, people with all words of q", Gives::Json("Found")),
    open(false, "/review/sign-in", "the form to sign in", Gives::Page),
    open(true, "/review/sign-in", "sign in", Gives::Form(&["name", "password", "to"])),
    open(
        true,
        "/review/sign-in/passkey/begin",
        "what the passkey of whoever signs in is asked",
        Gives::Asks(&[]),
    ),
    open(
        true,
        "/review/sign-in/passkey",
        "sign in with what a passkey answered",
        Gives::Form(&["answer", "to"]),
    ),
    open(false, "/review/join", "the form for a one-time code", Gives::Page),
    open(
        true,
        "/review/join",
        "choose a password with a one-time code",
        Gives::Form(&["code", "name", "sign_in", "password", "again"]),
    ),
    form("/review/sign-out", "sign out", &["token"]),
    get("/review/me", "the reader's own page", Gives::Page),
    Route {
        path: "/review/me/passkey/begin",
        post: true,
        says: "the password once more, then what a new passkey is asked",
        signed_in: true,
        gives: Gives::Asks(&["token", "password"]),
    },
    form("/review/me/passkey", "add the passkey that answered", &["token", "answer", "label"]),
    form("/review/me/passkey/remove", "remove a passkey", &["token", "passkey"]),
    form("/review/look", "light, dark, or as the device", &["token", "look"]),
    open(false, "/review/files/{name}", "styles, fonts, the script", Gives::File),
    get("/review/bell", "stays open and tells which sites have news", Gives::Events),
    get("/review", "what waits", Gives::Page),
    get("/review/visits", "every visit", Gives::Page),
    get("/review/sites", "every site", Gives::Page),
    form("/review/sites/new", "begin a site", &["token", "name", "town", "customer", "offset"]),
    get("/review/sites/{site}", "a site", Gives::Page),
    form(
        "/review/sites/{site}/set",
        "set a value of a site",
        &["token", "field", "value", "reason", "offset"],
    ),
    form("/review/sites/{site}/area", "add an area", &["token", "label", "offset"]),
    get("/review/sites/{site}/import", "the form for units out of a list", Gives::Page),
    form(
        "/review/sites/{site}/import",
        "units out of a list in CSV",
        &["token", "list", "reason", "partial", "do", "offset"],
    ),
    get("/review/sites/{site}/labels", "labels to hang on units", Gives::Page),
    form(
        "/review/sites/{site}/units/{unit}/set",
        "set a value of a unit",
        &["token", "field", "value", "reason", "offset"],
    ),
    get("/review/sites/{site}/building", "what keeps failing in a building", Gives::Page),
    get("/review/sites/{site}/units/{unit}", "a unit through its visits", Gives::Page),
    form(
        "/review/sites/{site}/units/{unit}/answer",
        "enter a manufacturer's answer",
        &["token", "question", "text", "source", "day", "from", "offset"],
    ),
    get("/review/sites/{site}/visits/{visit}", "a merged visit", Gives::Page),
    get("/review/sites/{site}/visits/{visit}/settle", "one difference: key and unit", Gives::Page),
    form(
        "/review/sites/{site}/visits/{visit}/settle",
        "settle a difference with a reason",
        &["token", "key", "unit", "table", "chosen", "reason", "offset"],
    ),
    form(
        "/review/sites/{site}/visits/{visit}/sign",
        "sign a visit as it was shown",
        &["token", "shown", "statement", "offset"],
    ),
    form(
        "/review/sites/{site}/visits/{visit}/except",
        "let what holds a sign-off pass, in words",
        &["token", "blocker", "reason", "offset"],
    ),
    form(
        "/review/sites/{site}/visits/{visit}/reopen",
        "open a signed visit again",
        &["token", "entry", "reason", "offset"],
    ),
    form(
        "/review/sites/{site}/visits/{visit}/query",
        "send a question to the field",
        &["token", "text", "unit", "to", "offset"],
    ),
    form(
        "/review/sites/{site}/visits/{visit}/share",
        "make a link to the customer's report",
        &["token", "days", "lang", "units"],
    ),
    form(
        "/review/sites/{site}/visits/{visit}/unshare",
        "end a link to the customer's report",
        &["token", "share"],
    ),
    get(
        "/review/sites/{site}/visits/{visit}/export/{what}",
        "rows for the office, or the whole visit, as a file",
        Gives::File,
    ),
    get(
        "/review/sites/{site}/visits/{visit}/photo/{unit}/{hash}",
        "a picture that a photo of the visit names",
        Gives::File,
    ),
    get("/review/sites/{site}/report/{kind}", "a report, as a page or as a file", Gives::Page),
    form("/review/firm", "name the firm that stands on reports", &["token", "name", "phone"]),
    open(false, "/shared/{token}", "a customer's report, to whoever has the link", Gives::Page),
    get("/review/questions", "questions to manufacturers", Gives::Page),
    get("/review/people", "people and devices", Gives::Page),
    form(
        "/review/people/code",
        "give a one-time code",
        &["token", "person", "role", "every", "site"],
    ),
    form("/review/people/revoke", "revoke a device", &["token", "device", "reason"]),
    form(
        "/review/sites/{site}/visits/{visit}/vouch",
        "answer for entries whose key was revoked",
        &["token", "entry", "reason", "offset"],
    ),
    get("/review/quarantine", "changes that did not pass the gate", Gives::Page),
    form(
        "/review/quarantine/word",
        "say what became of a refused change",
        &["token", "site", "change", "reason"],
    ),
    get("/review/audit", "what was done on the pages", Gives::Page),
    get("/review/search", "search", Gives::Page),
];

#[derive(OpenApi)]
#[openapi(components(schemas(
    Home,
    SiteLine,
    SiteShown,
    BuildingPage,
    History,
    Visit,
    UnitAsked,
    People,
    Found
)))]
struct Schemas;

/// The whole description.
pub(super) static DESCRIPTION: LazyLock<Value> = LazyLock::new(|| {
    let schemas = serde_json::to_value(Schemas::openapi()).unwrap_or_default();
    let schemas = schemas.pointer("/components/schemas").cloned().unwrap_or_else(|| json!({}));
    let mut paths: Map<String, Value> = Map::new();
    for one in PATHS {
        let method = if one.post { "post" } else { "get" };
        let path = paths.entry(one.path).or_insert_with(|| json!({}));
        if let Value::Object(path) = path {
            path.insert(method.to_owned(), operation(one));
        }
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Dripleg hub",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Where the halves of a record meet. Frames are CBOR in a signed envelope; docs/sync.md has their layout.",
        },
        "components": {
            "schemas": schemas,
            "securitySchemes": {
                "session": { "type": "apiKey", "in": "cookie", "name": "__Host-dripleg" },
            },
        },
        "paths": paths,
    })
});

fn operation(one: &Route) -> Value {
    let (ok, content) = answer(one.gives);
    let mut responses = json!({ ok: { "description": "done", "content": content } });
    if one.signed_in
        && let Value::Object(all) = &mut responses
    {
        let (status, words) = match one.gives {
            Gives::Json(_) | Gives::List(_) => ("401", "nobody is signed in"),
            _ => ("303", "done, or nobody is signed in: on to another page"),
        };
        all.insert(status.to_owned(), json!({ "description": words }));
        all.insert("404".to_owned(), json!({ "description": "nothing that the reader may see" }));
    }
    let mut operation = json!({ "summary": one.says, "responses": responses });
    let Value::Object(own) = &mut operation else { return operation };
    let names = one.path.split('{').skip(1).filter_map(|part| part.split('}').next());
    let mut parameters: Vec<Value> = names
        .map(|name| json!({ "name": name, "in": "path", "required": true, "schema": { "type": "string" } }))
        .collect();
    let query: &[&str] = match one.path {
        "/api/1/search" | "/review/search" => &["q"],
        "/review/visits" => &["from"],
        "/review/audit" => &["verify"],
        path if path.ends_with("/report/{kind}") => {
            &["visit", "unit", "question", "next", "lang", "units", "face", "paper"]
        }
        "/shared/{token}" => &["face", "paper"],
        path if path.ends_with("/settle") && !one.post => &["key", "unit"],
        _ => &[],
    };
    parameters.extend(
        query
            .iter()
            .map(|name| json!({ "name": name, "in": "query", "schema": { "type": "string" } })),
    );
    if !parameters.is_empty() {
        own.insert("parameters".to_owned(), parameters.into());
    }
    if let Some(body) = taken(one.gives) {
        own.insert("requestBody".to_owned(), body);
    }
    if one.signed_in {
        own.insert("security".to_owned(), json!([{ "session": [] }]));
    }
    operation
}

fn answer(gives: Gives) -> (&'static str, Value) {
    let schema = |name: &str| json!({ "$ref": format!("#/components/schemas/{name}") });
    let text = json!({ "schema": { "type": "string" } });
    match gives {
        Gives::Json(name) => ("200", json!({ "application/json": { "schema": schema(name) } })),
        Gives::List(name) => {
            let list = json!({ "type": "array", "items": schema(name) });
            ("200", json!({ "application/json": { "schema": list } }))
        }
        Gives::Itself => ("200", json!({ "application/json": { "schema": { "type": "object" } } })),
        Gives::Page => ("200", json!({ "text/html": text })),
        Gives::Form(_) => ("303", json!({})),
        Gives::Asks(_) => {
            ("200", json!({ "application/json": { "schema": { "type": "object" } } }))
        }
        Gives::Frame => ("200", json!({ "application/octet-stream": {} })),
        Gives::Events | Gives::FrameEvents => ("200", json!({ "text/event-stream": text })),
        Gives::Text => ("200", json!({ "text/plain": text })),
        Gives::File => ("200", json!({ "*/*": {} })),
    }
}

fn taken(gives: Gives) -> Option<Value> {
    match gives {
        Gives::Form(fields) | Gives::Asks(fields) => {
            let fields: Map<String, Value> = fields
                .iter()
                .map(|name| ((*name).to_owned(), json!({ "type": "string" })))
                .collect();
            let schema = json!({ "type": "object", "properties": fields });
            let content = json!({ "application/x-www-form-urlencoded": { "schema": schema } });
            Some(json!({ "required": true, "content": content }))
        }
        Gives::Frame | Gives::FrameEvents => {
            Some(json!({ "required": true, "content": { "application/octet-stream": {} } }))
        }
        _ => None,
    }
}
