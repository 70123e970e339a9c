//! What was not told, one line a kind: never shown as fine, never as one alarm for each thing.

use crate::answers::Outlook;
use crate::answers::words::counted;
use crate::domain::Season;

/// Why no work has a date: no session is told, or all that are told are over.
pub(crate) fn no_session(outlook: &Outlook) -> Option<String> {
    let told = || outlook.yard.sessions.iter().filter(|s| !s.lost);
    if outlook.yard.sessions.is_empty() {
        return Some("sessions not told".to_owned());
    }
    if told().any(|s| s.ends > outlook.local_now()) {
        return None;
    }
    let Some(last) = told().map(|s| s.starts).max() else {
        return Some("sessions to come not told, all others were lost".to_owned());
    };
    let last = last.format("%a %-d %b %Y");
    Some(format!("sessions to come not told, the last was on {last}"))
}

pub(crate) fn not_told(outlook: &Outlook, season: Option<&Season>) -> Vec<String> {
    let yard = outlook.yard;
    let mut lines = Vec::new();
    let mut say = |missing: bool, line: &str| {
        if missing {
            lines.push(line.to_owned());
        }
    };
    say(season.is_some_and(|s| s.lights_on.is_none()), "lights on not told: no countdown, no deadline");
    say(
        season.is_some_and(|s| s.lights_on.is_some() && s.rehearsal.is_none()),
        "rehearsal not told: the plan has no date to be ready by",
    );
    if let Some(line) = no_session(outlook) {
        say(true, &format!("{line}: order and hours, no dates"));
    }
    say(yard.people.is_empty(), "people not told: hands and skills not checked");
    say(
        !yard.products.iter().any(|p| p.role == crate::domain::Role::Ladder),
        "ladders not told: they limit nothing",
    );
    let site = yard.sites.first();
    say(
        site.is_none_or(|s| s.latitude_udeg.is_none() || s.longitude_udeg.is_none()),
        "position not told: daylight not checked",
    );
    say(site.is_none_or(|s| s.time_zone.is_none()), "time zone not told: UTC assumed");
    let placements: Vec<_> =
        yard.placements.iter().filter(|p| season.is_some_and(|s| s.id == p.season_id)).collect();
    let count = |n: usize, what: &str| {
        (n > 0).then(|| format!("{what} for {}", counted(n as i64, "placement", "placements")))
    };
    let facts = crate::steps::Facts::new(yard);
    let fed = season.map(|s| facts.fed_by(s.id)).unwrap_or_default();
    let unfed = placements
        .iter()
        .filter(|p| facts.product_of(p).is_none_or(|x| x.pixels.is_some_and(|n| n > 0)))
        .filter(|p| !fed.contains_key(&p.id))
        .count();
    lines.extend(count(unfed, "which box feeds it not told: connected and tested one by one,"));
    let high = super::start::high_untold(outlook);
    if !high.is_empty() {
        let names: Vec<&str> = high.iter().map(|p| p.name.as_str()).collect();
        lines.push(format!("how reached not told for {}: planned as from the ground", names.join(", ")));
    }
    let leads = yard.links.iter().filter(|l| l.length_mm.is_none() || l.wire.is_none()).count();
    if leads > 0 {
        let leads = counted(leads as i64, "lead", "leads");
        lines.push(format!("wire or length not told for {leads}: drop not checked"));
    }
    let homeless = yard.pieces.iter().filter(|p| p.home_id.is_none()).count();
    if homeless > 0 {
        lines.push(format!("home not told for {}", counted(homeless as i64, "piece", "pieces")));
    }
    lines
}
