//! What commands answer about totes and packing, and an order before it is placed.

use super::app::App;
use super::commands::Form;
use crate::answers::dates::dates;
use crate::answers::problem::Problem;
use crate::answers::shopping::BuyChoice;
use crate::answers::shopping::list::shopping;
use crate::answers::shopping::page::buy_page;
use crate::answers::shopping::sheet::basket_today;
use crate::answers::totes::find::{Found, asked as words_asked, everything};
use crate::answers::totes::pack::proposal;
use crate::answers::totes::page::totes_page;
use crate::exchange::commands as say;
use crate::exchange::json::text;

impl App {
    /// Containers, with how much of what lives there is in.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn totes_answer(&mut self, form: Form) -> Result<String, Problem> {
        let page = totes_page(&self.look()?);
        Ok(match form {
            Form::Json => text(&say::totes::document(page)),
            Form::Text => say::totes::text(&page),
        })
    }

    /// Rooms and shelves with what stands on them.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn tote_map_answer(&mut self, form: Form) -> Result<String, Problem> {
        let page = totes_page(&self.look()?);
        Ok(match form {
            Form::Json => text(&say::totes::map_document(&page)),
            Form::Text => say::totes::map_text(&page),
        })
    }

    /// The dates of all shows that are not over, with their conflicts.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn dates_answer(&mut self, form: Form) -> Result<String, Problem> {
        let dates = dates(&self.look()?);
        Ok(match form {
            Form::Json => text(&say::dates::document(dates)),
            Form::Text => say::dates::text(&dates),
        })
    }

    /// Where things are, as far as `find` names their lines, in that order.
    ///
    /// # Errors
    /// What the store says of the file.
    pub fn tote_find_answer(
        &mut self,
        asked: &str,
        find: impl FnOnce(&str, &[String]) -> Vec<usize>,
        form: Form,
    ) -> Result<String, Problem> {
        let list = everything(&self.look()?);
        let lines: Vec<String> = list.iter().map(|f| format!("{} {}", f.line(), f.also)).collect();
        // Those with the most of the words; letters with gaps only where no word is found.
        let words = words_asked(asked).to_lowercase();
        let held = |text: &str| {
            let text = text.to_lowercase();
            words.split_whitespace().filter(|w| text.contains(w)).count()
        };
        let most = lines.iter().map(|line| held(line)).max().unwrap_or(0);
        let found = match most {
            0 => find(&words, &lines),
            _ => (0..lines.len()).filter(|n| lines.get(*n).is_some_and(|line| held(line) == most)).collect(),
        };
        let mut found: Vec<_> = found.into_iter().filter_map(|n| list.get(n).cloned()).collect();
        // What has the words in its own name comes before what only goes where they say.
        let named = |f: &Found| held(&format!("{} {}", f.code, f.name));
        found.sort_by_key(|f| std::cmp::Reverse(named(f)));
        Ok(match form {
            Form::Json => text(&say::totes::found_document(found)),
            Form::Text => say::totes::found_text(&found),
        })
    }

    /// Totes for what comes down.
    ///
    /// # Errors
    /// `no-season`, `no-tote`.
    pub fn pack_answer(&mut self, form: Form) -> Result<String, Problem> {
        let outlook = self.look()?;
        let pack = proposal(&outlook)?;
        Ok(match form {
            Form::Json => text(&say::totes::pack_document(pack)),
            Form::Text => say::totes::pack_text(&outlook, &pack),
        })
    }

    /// How many pieces packing would move, and into which tote which of them.
    ///
    /// # Errors
    /// `no-season`, `no-tote`.
    pub fn packing(&self) -> Result<(usize, Vec<(String, String)>), Problem> {
        let pack = proposal(&self.outlook())?;
        Ok((pack.moves, pack.into_totes(self.yard())))
    }

    /// The basket of one vendor, as an order would write it.
    ///
    /// # Errors
    /// `no-vendor`; `nothing-to-order` where the basket has nothing there.
    pub fn order_shown(&mut self, vendor: &str, form: Form) -> Result<String, Problem> {
        self.catch_up()?;
        let vendor = crate::deeds::vendor_by_code(self, vendor)?;
        let plan = self.build_plan();
        let choice = BuyChoice::default();
        let shopping = shopping(&self.outlook(), plan.as_deref(), &choice)?;
        basket_today(&self.outlook(), &shopping, &vendor)?;
        let mut buy = buy_page(&self.outlook(), plan.as_deref(), &choice)?;
        buy.baskets.retain(|b| b.vendor == vendor.name);
        Ok(match form {
            Form::Json => text(&say::buy::baskets(buy.baskets)),
            Form::Text => say::buy::baskets_text(&buy),
        })
    }
}
