//! A phrase as words: lower case, parted at hyphens, without endings, and what a "no" denies.

/// One word of a phrase.
#[derive(Debug, Clone)]
pub(super) struct Word {
    pub(super) stem: String,
    /// Where it stands in the phrase, in bytes.
    pub(super) from: usize,
    pub(super) to: usize,
    /// Whether a "no" or "without" before it takes it back.
    pub(super) denied: bool,
    /// Whether it was written otherwise by a letter.
    pub(super) mended: bool,
}

/// Forms that no rule makes, and words for the same thing.
const SAME: &str = "hung=hang hanger=hang hangers=hang suspended=hang dangle=hang dangling=hang dangled=hang swinging=hang stood=stand \
     laid=lay lain=lay lies=lay lying=lay lie=lay sat=sit leant=lean propped=lean tying=tie tyed=tie \
     threw=throw thrown=throw slung=sling flung=fling stuck=stick bound=bind driven=drive dug=dig \
     wound=wind_on woven=weave wove=weave magnetic=magnet magnetically=magnet magnetised=magnet \
     magnetized=magnet adhered=adhesive glueing=glue bungy=bungee bungie=bungee shelves=shelf around=round \
     resting=sit plonked=sit plunked=sit plopped=sit placed=place stuffed=tuck rests=sit netting=net gauze=net mesh=net weighted=weight \
     weighed=weight weigh=weight weighing=weight eaves=eave guyed=guy guttering=gutter silicon=silicone \
     wrapd=wrap suct=suction adh=adhesive";

/// Words that are written as one or as two.
const JOINED: &str = "zip+tie zip+tied zip+ties cable+tie cable+tied cable+ties twist+tie twist+ties twist+tied wire+tie \
     wire+tied sand+bag sand+bags sand+bagged suction+cup suction+cups suction+cupped gutter+hook \
     gutter+hooks gutter+clip gutter+clips guy+wire guy+wires guy+line guy+lines guy+rope guy+ropes tent+peg \
     tent+pegs tent+stake tent+stakes clothes+peg clothes+pegs thumb+tack thumb+tacks push+pin push+pins \
     hot+glue hot+glued super+glue super+glued breeze+block breeze+blocks cinder+block cinder+blocks \
     window+pane window+sill window+sills down+pipe roof+top flag+pole door+hanger flower+bed flower+beds \
     gaffer+tape duct+tape duct+taped free+standing free+stand stand+off stand+offs eye+bolt eye+bolts u+bolt \
     u+bolts s+hook s+hooks fence+post fence+posts hand+rail guard+rail";

/// The pairs of a list.
fn pairs(list: &'static str, between: char) -> impl Iterator<Item = (&'static str, &'static str)> {
    list.split(' ').filter_map(move |pair| pair.split_once(between))
}

/// What takes back the words after it.
const DENIALS: &[&str] =
    &["no", "not", "without", "never", "avoid", "dont", "cant", "cannot", "nothing", "nor", "wont", "isnt"];
/// Where a denial ends.
const RESUMES: &[&str] = &["but", "just", "only", "use", "using", "so", "then", "hence", "thus"];
/// Words that say nothing of how a thing is held.
const FILLING: &str = "a an the of with by it its is are be my our their some each all and or few two three four six eight them \
     that this very small big large little mini heavy duty black white green clear plastic metal steel \
     stainless nylon outdoor existing old new same as last year usual every side front back left right top \
     bottom both one at up out for using use held hold place attached attach fixed fix mounted mount fastened \
     fasten secured secure put set via onto to on in from into";

pub(super) fn is_filling(stem: &str) -> bool {
    FILLING.split(' ').any(|w| w == stem) || stem.chars().all(|c| c.is_ascii_digit())
}

/// The words of a phrase; `known` tells the stems that mean something here.
/// `holds` tells those that make holes or stick.
pub(super) fn words(text: &str, known: &dyn Fn(&str) -> bool, holds: &dyn Fn(&str) -> bool) -> Vec<Word> {
    let mut all: Vec<Word> = Vec::new();
    let mut denying = false;
    let mut hyphened_denial = false;
    let mut end = 0;
    let mut before = String::new();
    for (from, to) in runs(text) {
        let between = text.get(end..from).unwrap_or_default();
        if between.contains([',', ';', '.', '(', ')', ':', '/', '–', '—'])
            || between.contains(" - ")
            || (hyphened_denial && !between.contains('-'))
        {
            denying = false;
        }
        let raw: String = text.get(from..to).unwrap_or_default().to_lowercase().replace(['\'', '’'], "");
        end = to;
        let raw = if raw == "w" || raw == "wi" { "with".to_owned() } else { raw };
        if DENIALS.contains(&raw.as_str()) {
            denying = true;
            hyphened_denial = text.get(to..).is_some_and(|rest| rest.starts_with('-'));
            continue;
        }
        let last = std::mem::replace(&mut before, raw.clone());
        if matches!((last.as_str(), raw.as_str()), ("instead", "of") | ("rather", "than")) {
            denying = true;
            continue;
        }
        if RESUMES.contains(&raw.as_str()) {
            denying = false;
        }
        let denied = denying;
        if let Some((a, b)) = pairs(JOINED, '+').find(|(a, b)| raw.strip_prefix(a) == Some(b)) {
            for part in [a, b] {
                all.push(Word { stem: stem(part, known), from, to, denied, mended: false });
            }
        } else {
            all.push(Word { stem: stem(&raw, known), from, to, denied, mended: false });
        }
    }
    // "Nail-free" and "screw less" take back the word before.
    for at in 1..all.len() {
        let free = all.get(at).is_some_and(|w| matches!(w.stem.as_str(), "free" | "less"));
        if let Some(word) = all.get_mut(at - 1).filter(|w| free && holds(&w.stem)) {
            word.denied = true;
        }
    }
    all
}

/// Where the letters and digits run.
fn runs(text: &str) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (at, c) in text.char_indices() {
        let to = at + c.len_utf8();
        let inside = c.is_alphanumeric() || matches!(c, '\'' | '’');
        match runs.last_mut() {
            Some(run) if inside && run.1 == at => run.1 = to,
            _ if inside => runs.push((at, to)),
            _ => {}
        }
    }
    runs
}

/// The stem of a word in lower case.
fn stem(word: &str, known: &dyn Fn(&str) -> bool) -> String {
    if let Some((_, same)) = pairs(SAME, '=').find(|(form, _)| *form == word) {
        return same.to_owned();
    }
    if known(word) || word.len() < 4 {
        return word.to_owned();
    }
    let plural = |w: &str| -> String {
        if let Some(one) = w.strip_suffix("ies").filter(|one| one.len() > 2) {
            return format!("{one}y");
        }
        for end in ["shes", "ches", "xes", "sses", "zes"] {
            if w.ends_with(end) {
                return w.strip_suffix("es").unwrap_or(w).to_owned();
            }
        }
        match w.strip_suffix('s') {
            Some(one) if !one.ends_with(['s', 'u', 'i']) => one.to_owned(),
            _ => w.to_owned(),
        }
    };
    let one = plural(word);
    if known(&one) {
        return one;
    }
    for end in ["ing", "ed"] {
        let Some(base) = word.strip_suffix(end).filter(|b| b.len() >= 2) else { continue };
        let with_e = format!("{base}e");
        if known(&with_e) {
            return with_e;
        }
        let mut letters = base.chars().rev();
        let doubled = letters.next() == letters.next();
        let single = base.get(..base.len() - 1).filter(|_| doubled && base.is_ascii());
        if let Some(single) = single.filter(|s| known(s)) {
            return single.to_owned();
        }
        return match single.filter(|s| !s.ends_with(['l', 's', 'z'])) {
            Some(single) => single.to_owned(),
            None => base.to_owned(),
        };
    }
    one
}

/// Whether two words differ by one letter: changed, left out, put in, or two changed places.
pub(super) fn one_off(a: &str, b: &str) -> bool {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let (short, long) = if a.len() <= b.len() { (&a, &b) } else { (&b, &a) };
    let same = short.iter().zip(long.iter()).take_while(|(x, y)| x == y).count();
    let rest = |v: &[char], from: usize| v.get(from..).unwrap_or_default().to_vec();
    match long.len() - short.len() {
        0 => {
            let swapped = short.get(same) == long.get(same + 1)
                && short.get(same + 1) == long.get(same)
                && rest(short, same + 2) == rest(long, same + 2);
            rest(short, same + 1) == rest(long, same + 1) || swapped
        }
        1 => rest(short, same) == rest(long, same + 1),
        _ => false,
    }
}
