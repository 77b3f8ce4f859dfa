//! The description of the interface is true: every path answers as it says, by the schema it names.

use serde_json::Value;

use super::photos::photo;
use super::{Firm, UNIT, firm, real, visit_path};

/// Whether a value fits a schema of the description. Only what schemas out of types use is looked at.
fn fits(root: &Value, schema: &Value, value: &Value, at: &str) -> Result<(), String> {
    if let Some(name) = schema["$ref"].as_str() {
        let own = root.pointer(name.trim_start_matches('#')).ok_or(format!("{at}: no {name}"))?;
        return fits(root, own, value, at);
    }
    for any in ["oneOf", "anyOf"] {
        if let Some(all) = schema[any].as_array() {
            let one = all.iter().any(|one| fits(root, one, value, at).is_ok());
            return if one { Ok(()) } else { Err(format!("{at}: {value} is none of {any}")) };
        }
    }
    if let Some(all) = schema["allOf"].as_array() {
        return all.iter().try_for_each(|one| fits(root, one, value, at));
    }
    if let Some(all) = schema["enum"].as_array() {
        return if all.contains(value) { Ok(()) } else { Err(format!("{at}: {value}")) };
    }
    let kinds: Vec<&str> = match &schema["type"] {
        Value::String(kind) => vec![kind],
        Value::Array(all) => all.iter().filter_map(Value::as_str).collect(),
        _ => return Ok(()),
    };
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_i64() || number.is_u64() => "integer",
        Value::Number(_) => "number",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    let number = kind == "integer" && kinds.contains(&"number");
    if !kinds.contains(&kind) && !number {
        return Err(format!("{at}: {kind}, the schema says {kinds:?}"));
    }
    if let Value::Array(items) = value {
        for (index, item) in items.iter().enumerate() {
            let own = schema["prefixItems"].get(index).unwrap_or(&schema["items"]);
            fits(root, own, item, &format!("{at}/{index}"))?;
        }
    }
    if let Value::Object(fields) = value {
        for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !fields.contains_key(name) {
                return Err(format!("{at}: {name} is missing"));
            }
        }
        for (name, field) in fields {
            let own = schema["properties"].get(name);
            let own = own.ok_or_else(|| format!("{at}: {name} is not in the schema"))?;
            fits(root, own, field, &format!("{at}/{name}"))?;
        }
    }
    Ok(())
}

#[test]
fn every_path_of_the_description_answers_by_its_schema() {
    let mut firm = firm(80);
    photo(&mut firm);
    let Firm { hall, mut desk, .. } = firm;
    let description: Value =
        serde_json::from_str(&desk.page(&hall, "/api/1/openapi.json")).unwrap();
    let mut answered = 0;
    for (path, operations) in description["paths"].as_object().unwrap() {
        let Some(operation) = operations.get("get") else { continue };
        if path.ends_with("/bell") {
            continue;
        }
        let real = real(path);
        let real = match real.ends_with("/settle") {
            true => format!("{real}?key=unit%2Fstatus&unit={UNIT}"),
            false if real.contains('?') => real,
            false => format!("{real}?q=uh"),
        };
        let answer = desk.get(&hall, &real);
        // The hall has no peer address of this machine for /metrics.
        let wanted = match path.as_str() {
            "/metrics" => 403,
            "/shared/{token}" => 404,
            _ => 200,
        };
        assert_eq!(answer.status, wanted, "{real}: {}", answer.text());
        let content = operation["responses"]["200"]["content"].as_object().unwrap();
        let Some(schema) = content.get("application/json").map(|json| &json["schema"]) else {
            continue;
        };
        let value: Value = serde_json::from_slice(&answer.body).unwrap();
        if path != "/api/1/openapi.json" {
            fits(&description, schema, &value, path).unwrap();
            answered += 1;
        }
    }
    assert_eq!(answered, 9);
}

#[test]
fn what_is_not_in_the_description_is_not_there() {
    let Firm { hall, mut desk, .. } = firm(81);
    let description: Value =
        serde_json::from_str(&desk.page(&hall, "/api/1/openapi.json")).unwrap();
    let all = description["paths"].as_object().unwrap();
    let source = include_str!("../../../server/src/routes/pages.rs");
    let visit = "/review/sites/{site}/visits/{visit}";
    for line in source.lines().filter(|line| line.contains(".route(")) {
        let path = match line.split('"').nth(1) {
            Some(rest) if line.contains("&at(") => format!("{visit}{rest}"),
            Some(path) => path.to_owned(),
            None => visit.to_owned(),
        };
        let path = path.replace("{*name}", "{name}");
        assert!(path == "/" || all.contains_key(&path), "{path} is not described");
        let own = all.get(&path).cloned().unwrap_or_default();
        for (word, method) in [("get(", "get"), ("post(", "post")] {
            let there = line.contains(word) || (method == "post" && line.contains(".post("));
            assert!(path == "/" || !there || own.get(method).is_some(), "{method} {path}");
        }
    }
}

#[test]
fn a_wrong_difference_is_refused_by_the_schema_reader_itself() {
    let root = serde_json::json!({ "a": { "type": "object", "required": ["x"], "properties": { "x": { "type": "string" } } } });
    let schema = serde_json::json!({ "$ref": "#/a" });
    assert!(fits(&root, &schema, &serde_json::json!({ "x": "1" }), "").is_ok());
    for wrong in [
        serde_json::json!({}),
        serde_json::json!({ "x": 1 }),
        serde_json::json!({ "x": "1", "y": 2 }),
    ] {
        assert!(fits(&root, &schema, &wrong, "").is_err(), "{wrong}");
    }
    assert!(visit_path().starts_with("/review/"));
}
