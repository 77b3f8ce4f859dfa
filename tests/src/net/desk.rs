//! A supervisor's browser, as far as the pages can tell: it keeps cookies, fills forms in, follows nothing.

use axum::http::Method;

use super::Hall;
use super::hall::Answer;

/// A browser at an address.
#[derive(Debug)]
pub struct Desk {
    from: String,
    cookies: Vec<(String, String)>,
    token: String,
}

/// The origin of the hall.
pub const HOST: &str = "hub.example";

impl Desk {
    /// A browser that knows nothing yet.
    pub fn at(from: &str) -> Desk {
        Desk { from: from.to_owned(), cookies: vec![], token: String::new() }
    }

    /// A browser that has come with a one-time code.
    pub fn joined(hall: &Hall, from: &str, code: &str, name: &str) -> Desk {
        let mut desk = Desk::at(from);
        let password = format!("the long password of {name}");
        let fields = [
            ("code", code),
            ("name", name),
            ("sign_in", name),
            ("password", &password),
            ("again", &password),
        ];
        let answer = desk.post(hall, "/review/join", &fields);
        assert_eq!(answer.status, 303, "{}", answer.text());
        desk
    }

    /// The cookies as they are sent.
    pub fn cookies(&self) -> String {
        let all = self.cookies.iter().map(|(name, value)| format!("{name}={value}"));
        all.collect::<Vec<_>>().join("; ")
    }

    /// Takes cookies over, as somebody who got hold of them would.
    pub fn take_cookies(&mut self, cookies: &str) {
        let pairs = cookies.split("; ").filter_map(|pair| pair.split_once('='));
        self.cookies = pairs.map(|(name, value)| (name.to_owned(), value.to_owned())).collect();
    }

    fn ask(&mut self, hall: &Hall, method: &Method, path: &str, body: Vec<u8>) -> Answer {
        let cookies = self.cookies();
        let origin = format!("https://{HOST}");
        let mut headers = vec![("host", HOST)];
        if !cookies.is_empty() {
            headers.push(("cookie", &cookies));
        }
        if method == Method::POST {
            headers.push(("origin", &origin));
            headers.push(("content-type", "application/x-www-form-urlencoded"));
        }
        let answer = hall.ask(&self.from, method, path, &headers, body);
        for set in answer.headers.get_all("set-cookie") {
            let set = set.to_str().unwrap();
            let (pair, rest) = set.split_once(';').unwrap();
            let (name, value) = pair.split_once('=').unwrap();
            self.cookies.retain(|(known, _)| known != name);
            if !rest.contains("Max-Age=0") {
                self.cookies.push((name.to_owned(), value.to_owned()));
            }
        }
        answer
    }

    /// Opens a page; remembers the token that its forms carry.
    pub fn get(&mut self, hall: &Hall, path: &str) -> Answer {
        let answer = self.ask(hall, &Method::GET, path, vec![]);
        if let Ok(text) = std::str::from_utf8(&answer.body)
            && let Some(token) = value_of(text, "token")
        {
            self.token = token;
        }
        answer
    }

    /// Opens a page that has to be there.
    pub fn page(&mut self, hall: &Hall, path: &str) -> String {
        let answer = self.get(hall, path);
        assert_eq!(answer.status, 200, "{path}: {}", answer.text());
        answer.text()
    }

    /// Sends a form, with the token of the last page.
    pub fn post(&mut self, hall: &Hall, path: &str, fields: &[(&str, &str)]) -> Answer {
        let token = self.token.clone();
        self.post_with(hall, path, fields, &token)
    }

    /// Sends a form with a token.
    pub fn post_with(
        &mut self,
        hall: &Hall,
        path: &str,
        fields: &[(&str, &str)],
        token: &str,
    ) -> Answer {
        let mut all = vec![("token", token)];
        all.extend_from_slice(fields);
        self.ask(hall, &Method::POST, path, encoded(&all).into_bytes())
    }
}

/// Fields as forms send them.
pub fn encoded(fields: &[(&str, &str)]) -> String {
    form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish()
}

/// The value of the first field of a name in a page.
pub fn value_of(page: &str, name: &str) -> Option<String> {
    let from = page.find(&format!("name=\"{name}\""))?;
    let rest = &page[from..];
    let end = rest.find('>')?;
    let value = rest[..end].split("value=\"").nth(1)?;
    Some(value.split('"').next()?.to_owned())
}
