//! What the domain says of limits and defaults is what the tables ask: SQLite never refuses what was let through.

use ladderday::domain::limit::{MOMENTS, MOST, limits, value_untold};
use ladderday::domain::{CellKind, TABLES, Table, Value};
use rusqlite::Connection;

fn tables() -> Connection {
    let conn = Connection::open_in_memory().unwrap();
    conn.execute_batch(ladderday::store::MIGRATIONS.iter().map(|m| m.sql).collect::<String>().as_str())
        .unwrap();
    conn.execute_batch("PRAGMA foreign_keys = OFF").unwrap();
    conn
}

fn sql(value: &Value) -> rusqlite::types::Value {
    match value {
        Value::Null => rusqlite::types::Value::Null,
        Value::Int(n) => (*n).into(),
        Value::Text(t) => t.clone().into(),
    }
}

/// Whether the table takes a row that has `value` in `column` and something fitting in all others.
fn takes(conn: &Connection, table: &Table, column: &str, value: &Value) -> bool {
    let fitting = |(at, c): (usize, &ladderday::domain::Column)| {
        if c.name == column {
            return value.clone();
        }
        value_untold(table, c).unwrap_or_else(|| match c.kind {
            CellKind::Choice(words) => Value::Text(words[0].to_owned()),
            CellKind::Text | CellKind::Refers(_) | CellKind::Date | CellKind::LocalTime => {
                Value::Text(at.to_string())
            }
            _ => Value::Int(limits(table, c).0.max(1)),
        })
    };
    let values: Vec<_> = table.columns.iter().enumerate().map(fitting).collect();
    let names: Vec<_> = table.columns.iter().map(|c| c.name).collect();
    let insert = format!(
        "INSERT INTO {} (id, {}) VALUES ('x'{})",
        table.name,
        names.join(", "),
        ", ?".repeat(names.len())
    );
    let done = conn.execute(&insert, rusqlite::params_from_iter(values.iter().map(sql)));
    conn.execute(&format!("DELETE FROM {}", table.name), []).unwrap();
    done.is_ok()
}

#[test]
fn the_limits_are_those_of_the_tables() {
    let conn = tables();
    let mut looked = 0;
    for table in TABLES {
        for column in table.columns {
            let whole = !matches!(
                column.kind,
                CellKind::Text
                    | CellKind::Words
                    | CellKind::YesNo
                    | CellKind::Choice(_)
                    | CellKind::Refers(_)
                    | CellKind::Gauge
                    | CellKind::Date
                    | CellKind::LocalTime
            );
            if !whole {
                continue;
            }
            let (least, most) = limits(table, column);
            let at = format!("{}.{}", table.name, column.name);
            // What is asked of every quantity and moment is asked at the store's door, not in the tables.
            let general = [MOST, -MOST, MOMENTS.0, MOMENTS.1];
            let mut tries = vec![(least, true), (most, true)];
            tries.extend(general.iter().all(|g| *g != least).then(|| (least - 1, false)));
            tries.extend(general.iter().all(|g| *g != most).then(|| (most + 1, false)));
            for (n, good) in tries {
                assert_eq!(takes(&conn, table, column.name, &Value::Int(n)), good, "{at} = {n}");
                looked += 1;
            }
        }
    }
    assert!(looked > 300, "{looked}");
}

#[test]
fn the_choices_are_those_of_the_tables() {
    let conn = tables();
    for table in TABLES {
        for column in table.columns {
            match column.kind {
                CellKind::Choice(words) => {
                    for word in words {
                        assert!(takes(&conn, table, column.name, &Value::Text((*word).to_owned())), "{word}");
                    }
                    assert!(
                        !takes(&conn, table, column.name, &Value::Text("other than all".into())),
                        "{}",
                        column.name
                    );
                }
                CellKind::YesNo => {
                    assert!(takes(&conn, table, column.name, &Value::Int(1)));
                    assert!(
                        !takes(&conn, table, column.name, &Value::Int(2)),
                        "{}.{}",
                        table.name,
                        column.name
                    );
                }
                _ => {}
            }
        }
    }
}

#[test]
fn the_defaults_are_those_of_the_tables() {
    let conn = tables();
    for table in TABLES {
        let mut info = conn.prepare("SELECT dflt_value FROM pragma_table_info(?1) WHERE name = ?2").unwrap();
        for column in table.columns {
            let literal: Option<String> =
                info.query_row([table.name, column.name], |row| row.get(0)).unwrap();
            let untold = value_untold(table, column);
            let wanted = match literal {
                None if column.optional => Some(Value::Null),
                None => None,
                Some(l) => {
                    Some(l.parse().map_or_else(|_| Value::Text(l.trim_matches('\'').to_owned()), Value::Int))
                }
            };
            // The dollar was the first format's; a new row says itself that no currency is told.
            let wanted = if column.name == "currency" { Some(Value::Text(String::new())) } else { wanted };
            assert_eq!(untold, wanted, "{}.{}", table.name, column.name);
        }
    }
}
