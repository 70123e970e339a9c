//! The frame around every screen.

use crate::app::owner::App;
use crate::app::view::Frame;

impl App {
    /// Season, clock, whether anything can be written, and the last deed on disk.
    pub fn frame(&self) -> Frame {
        let season = self.season_for(self.phase_now()).ok();
        let last = self.store.last_deed().ok().flatten();
        Frame {
            season: season.map_or_else(String::new, |s| s.name.clone()),
            now: self.say_moment(self.now()),
            demo_clock: self.clock.is_shifted(),
            read_only: self.store.notice(),
            last_deed: last.map(|d| format!("{} {}", self.say_ms(d.at_ms), d.what)),
            empty: self.yard.seasons.is_empty() && self.yard.placements.is_empty(),
        }
    }
}
