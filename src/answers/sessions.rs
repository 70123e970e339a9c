//! Which sessions are listed.

use crate::answers::Outlook;
use crate::domain::{Session, local_time};

/// Sessions from now on, or all, in the order of their dates.
pub fn sessions<'a>(outlook: &Outlook<'a>, all: bool) -> Vec<&'a Session> {
    let over = |s: &&Session| local_time(outlook.zone(), s.ends).is_ok_and(|t| t < outlook.now());
    let mut list: Vec<&Session> = outlook.yard.sessions.iter().filter(|s| all || !over(s)).collect();
    list.sort_by_key(|s| (s.starts, s.code.clone()));
    list
}

/// The next session that is told, where the plan of the day has none: while the show is lit that of the takedown.
pub(crate) fn next_told(outlook: &Outlook) -> Option<String> {
    let now = outlook.now().with_timezone(&outlook.zone()).naive_local();
    let ahead = outlook.yard.sessions.iter().filter(|s| !s.lost && s.ends > now);
    let next = ahead.min_by_key(|s| (s.starts, &s.code))?;
    Some(format!("{} to {}", Outlook::say_local(next.starts), next.ends.format("%H:%M")))
}
