//! The mounting methods of the small yards.

use ladderday::domain::{
    Applies, BoxMode, CureRule, Method, MethodId, Phase, RecipeAccess, RecipeLight, RecipeRun, RecipeRunId,
    RecipeStep, RecipeStepId, StepDeed, WaitKind, Words,
};
use ladderday::units::{Span, Speed, Temperature};

use super::Build;

/// One recipe step a line: code, phase, deed, then what it asks for. `f` and `p` are seconds for the whole and a
/// piece, `h` hands, `w` a wait in minutes with its kind, a word with `!` a caution.
const RECIPES: &str = "
stake.bench bench bench_test f1200 p60 bench indoors !mains
stake.mark up mark f120 ground twilight
stake.drive up drive f300 ground twilight unfrozen tool=post_driver !buried
stake.set up set f60 p120 ground lamp
stake.tie up tie f60 p60 ground lamp min=-15
stake.connect up connect f60 p90 ground lamp off !supply_off
stake.test up test f120 p20 ground lamp on !mains
stake.disconnect down disconnect f60 p45 ground lamp off !supply_off
stake.lift down lower f60 p60 ground lamp
stake.pull down pull f300 ground twilight unfrozen
stake.dry down dry f60 p20 ground lamp w1440dry seasonal after=stake.lift
stake.pack down pack f120 p60 bench indoors seasonal
hooks.fix once make f900 place day alone tool=hammer_drill
hooks.look once look_over f180 place access
hooks.bench bench bench_test f1200 bench indoors !mains
hooks.light up ground_light f240 ground lamp above_reach !mains
hooks.hang up hang f600 p120 place access same_day alone gust=10
hooks.connect up connect f120 ground lamp off !supply_off
hooks.test up test f180 ground lamp on !mains
hooks.disconnect down disconnect f120 ground lamp off !supply_off
hooks.unhook down lower f600 place access seasonal alone
hooks.care down care f180 place access permanent
hooks.dry down dry f120 ground lamp w2880dry seasonal
hooks.pack down pack f180 bench indoors seasonal
roof_strap.seal once make f1800 roof day w2880cure cure=adhesive min=10 skill=roof !adhesive
roof_strap.bench bench bench_test f900 bench indoors !mains
roof_strap.light up ground_light f240 ground lamp above_reach !mains
roof_strap.fit up raise f1200 roof day same_day gust=10 skill=roof
roof_strap.connect up connect f120 ground lamp off !supply_off
roof_strap.test up test f180 ground lamp on !mains
roof_strap.disconnect down disconnect f120 ground lamp off !supply_off
roof_strap.off down lower f1200 roof day skill=roof
roof_strap.pack down pack f180 bench indoors
mast.bench bench bench_test f900 bench indoors !mains
mast.anchors up drive f1200 ground twilight unfrozen !buried
mast.head up prepare f1800 ground twilight h2
mast.raise up raise f1800 ground day h3 within=240 gust=6 dry !mast
mast.guys up tension f1200 ground day h2 !guys
mast.connect up connect f300 ground lamp off !supply_off
mast.test up test f600 ground lamp w1440other on !mains
mast.again up tension f1200 ground twilight h2 !guys
mast.disconnect down disconnect f300 ground lamp off !supply_off
mast.walk down lower f2400 ground day h3 !mast
mast.pack down pack f600 bench indoors
box.bench bench bench_test f3600 bench indoors !mains
box.hang up hang f900 place access
box.outputs up set f600 ground lamp
box.power up power f300 ground lamp !mains
box.disconnect down disconnect f180 ground lamp !supply_off
box.off down lower f600 place access
box.dry down dry f60 ground lamp w1440dry
box.pack down pack f300 bench indoors
flood.bench bench bench_test f600 bench indoors !mains
flood.set up set f300 ground lamp
flood.connect up connect f90 ground lamp off !supply_off
flood.test up test f120 ground lamp on !mains
flood.aim up adjust f300 ground dark on
flood.disconnect down disconnect f60 ground lamp off !supply_off
flood.off down lower f120 ground lamp
flood.pack down pack f120 bench indoors
cable.lay up set f600 ground lamp
cable.label up other f120 ground lamp
cable.coil down release f600 ground lamp
";

impl Build {
    /// Bench tests of 15 minutes and more run by themselves for all of their fixed time.
    pub fn tests_run(&mut self) {
        let long = |r: &&RecipeStep| r.deed == StepDeed::BenchTest && r.fixed_s.s() >= 900;
        let steps: Vec<_> = self.yard.recipe_steps.iter().filter(long).map(|r| (r.id, r.fixed_s)).collect();
        for (recipe_step_id, runs_s) in steps {
            let id = RecipeRunId(self.id());
            let start_s = Span::from_s(180);
            self.yard.recipe_runs.push(RecipeRun { id, ended_at: None, recipe_step_id, start_s, runs_s });
        }
    }

    pub(super) fn recipes(&mut self) {
        for (position, line) in RECIPES.lines().filter(|l| !l.is_empty()).enumerate() {
            let mut words = line.split(' ');
            let code = words.next().unwrap();
            let method = self.method_or_new(code.split('.').next().unwrap());
            let phase = Phase::from_text(words.next().unwrap()).unwrap();
            let deed = StepDeed::from_text(words.next().unwrap()).unwrap();
            let mut r = RecipeStep {
                id: RecipeStepId(self.id()),
                ended_at: None,
                code: code.to_owned(),
                method_id: method,
                position: position as i64,
                phase,
                deed,
                title: format!("{deed:?} ({code})"),
                fixed_s: Span::from_s(0),
                piece_s: Span::from_s(0),
                metre_s: Span::from_s(0),
                stake_s: Span::from_s(0),
                hands: 1,
                skills: Words::default(),
                equipment: Words::default(),
                access: RecipeAccess::Ground,
                light: RecipeLight::Access,
                wait_s: Span::from_s(0),
                wait_kind: None,
                cure_rule: None,
                within_s: None,
                same_day: false,
                min_mc: None,
                max_gust_mms: None,
                dry: false,
                unfrozen: false,
                not_alone: false,
                box_mode: None,
                applies: Applies::Always,
                after: Words::default(),
                cautions: Words::default(),
                every: None,
            };
            let mut cautions = Vec::new();
            for word in words {
                if let Some(caution) = word.strip_prefix('!') {
                    cautions.push(caution);
                } else {
                    ask(&mut r, word);
                }
            }
            r.cautions = Words::of(&cautions.join(" "));
            self.yard.recipe_steps.push(r);
        }
    }

    fn method_or_new(&mut self, code: &str) -> MethodId {
        if let Some(m) = self.yard.methods.iter().find(|m| m.code == code) {
            return m.id;
        }
        let id = MethodId(self.id());
        self.yard.methods.push(Method {
            id,
            ended_at: None,
            code: code.to_owned(),
            name: code.to_owned(),
            also: String::new(),
            stays: false,
            note: String::new(),
        });
        id
    }

    pub fn method(&self, code: &str) -> MethodId {
        self.yard.methods.iter().find(|m| m.code == code).unwrap().id
    }
}

fn ask(r: &mut RecipeStep, word: &str) {
    let number = |from: usize| word[from..].parse::<i64>().unwrap();
    match word {
        "place" | "ground" | "step_ladder" | "extension_ladder" | "roof" | "bench" => {
            r.access = RecipeAccess::from_text(word).unwrap();
        }
        "access" | "day" | "twilight" | "lamp" | "dark" | "indoors" => {
            r.light = RecipeLight::from_text(word).unwrap();
        }
        "same_day" => r.same_day = true,
        "dry" => r.dry = true,
        "unfrozen" => r.unfrozen = true,
        "alone" => r.not_alone = true,
        "off" | "on" => r.box_mode = BoxMode::from_text(word),
        "seasonal" | "permanent" | "above_reach" => r.applies = Applies::from_text(word).unwrap(),
        _ if word.starts_with("skill=") => r.skills = Words::of(&word[6..]),
        _ if word.starts_with("tool=") => r.equipment = Words::of(&word[5..]),
        _ if word.starts_with("after=") => r.after = Words::of(&word[6..]),
        _ if word.starts_with("cure=") => r.cure_rule = CureRule::from_text(&word[5..]),
        _ if word.starts_with("within=") => r.within_s = Some(Span::from_minutes(number(7))),
        _ if word.starts_with("min=") => r.min_mc = Some(Temperature::from_mc(number(4) * 1000)),
        _ if word.starts_with("gust=") => r.max_gust_mms = Some(Speed::from_mms(number(5) * 1000)),
        _ if word.starts_with('w') => {
            let (minutes, kind) = word[1..].split_at(4);
            r.wait_s = Span::from_minutes(minutes.parse().unwrap());
            r.wait_kind = Some(WaitKind::from_text(kind).unwrap());
        }
        _ if word.starts_with('f') => r.fixed_s = Span::from_s(number(1)),
        _ if word.starts_with('p') => r.piece_s = Span::from_s(number(1)),
        _ if word.starts_with('h') => r.hands = number(1),
        other => panic!("no recipe word {other}"),
    }
}
