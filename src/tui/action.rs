//! Every deed of the screens by name, with one line of help.

macro_rules! actions {
    ($($variant:ident => $name:literal, $help:literal;)*) => {
        /// What a key or a command asks for.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Action {
            $(#[doc = $help] $variant,)*
            /// A letter goes into the open text field.
            TypeChar(char),
            /// Picks the row with this digit; 0 is the tenth.
            PickNumber(u8),
        }

        impl Action {
            /// All that can be run by name.
            pub const NAMED: &'static [Self] = &[$(Self::$variant,)*];

            /// The text name, as settings and the command list use it.
            pub const fn name(self) -> &'static str {
                match self {
                    $(Self::$variant => $name,)*
                    Self::TypeChar(_) => "type-char",
                    Self::PickNumber(_) => "pick-number",
                }
            }

            /// One line for the help.
            pub const fn help(self) -> &'static str {
                match self {
                    $(Self::$variant => $help,)*
                    Self::TypeChar(_) => "Writes into the text field",
                    Self::PickNumber(_) => "Picks the row with this digit",
                }
            }
        }
    };
}

actions! {
    GoToday => "go-today", "Shows Today: will it be ready, what is in the way";
    GoWalk => "go-walk", "Shows Walk: the checklist of a session";
    GoYard => "go-yard", "Shows Yard: the map of the places";
    GoPlan => "go-plan", "Shows Plan: the timeline by day and person";
    GoKit => "go-kit", "Shows Kit: all that is owned";
    GoPower => "go-power", "Shows Power: loads and voltages";
    GoFaults => "go-faults", "Shows Faults: log, triage, bench";
    GoTotes => "go-totes", "Shows Totes: what is where";
    GoBuy => "go-buy", "Shows Buy: needs, baskets, order-by dates";
    GoSeasons => "go-seasons", "Shows Seasons: past years and the next";
    ClearSearch => "clear-search", "Closes what is open, or clears the search; never leaves the screen";
    ShowHelp => "show-help", "Shows the keys that work here";
    ShowCommands => "show-commands", "Lists every command, with its key";
    StartFind => "start-find", "Finds by a few letters";
    UndoDeed => "undo-deed", "Takes the last deed back";
    RedoDeed => "redo-deed", "Does again what was taken back";
    ShowHistory => "show-history", "Shows what was done, latest first; picking one goes back to before it";
    ShowSaid => "show-said", "Shows what was said since the start";
    ShowSettings => "show-settings", "Shows the settings file: its sample, and what is wrong in it";
    OpenDemo => "open-demo", "Leaves for the made-up demo yard; your own stays as it is";
    TellFact => "tell-fact", "Tells or changes any fact: place, person, ladder, season, circuit …";
    SaveForm => "save-form", "Tells what the form says";
    EndFact => "end-fact", "Says that this no longer holds; its history stays";
    AddProp => "add-prop", "Adds a prop: name, how many, where, how mounted";
    ImportFiles => "import-files", "Brings in a CSV file or a folder of them";
    SwitchLook => "switch-look", "Switches between day and night look";
    SwitchMouse => "switch-mouse", "Switches clicks and the wheel on or off";
    CopyCode => "copy-code", "Copies the code of the marked row to the clipboard";
    CopyLine => "copy-line", "Copies the marked row in words to the clipboard";
    StopWork => "stop-work", "Stops the long work that is running";
    ReloadPage => "reload-page", "Computes this screen anew";
    SuspendProgram => "suspend-program", "Leaves for the shell; fg comes back";
    QuitProgram => "quit-program", "Leaves; all deeds are saved already";
    MoveUp => "move-up", "Goes one row up";
    MoveDown => "move-down", "Goes one row down";
    MoveLeft => "move-left", "Goes left, or to the row before";
    MoveRight => "move-right", "Goes right, or to the next row";
    PageUp => "page-up", "Goes ten rows up";
    PageDown => "page-down", "Goes ten rows down";
    GoFirst => "go-first", "Goes to the first row";
    GoLast => "go-last", "Goes to the last row";
    NextSection => "next-section", "Goes to the next part of this screen";
    PrevSection => "prev-section", "Goes to the part before";
    OpenRow => "open-row", "Opens the row, or goes where it leads";
    AcceptText => "accept-text", "Takes the text as it stands; empty skips";
    ClosePopup => "close-popup", "Closes what is open, nothing changes";
    PickRow => "pick-row", "Picks the marked row";
    DeleteBack => "delete-back", "Deletes the letter before";
    DeleteNext => "delete-next", "Deletes the letter after";
    ClearText => "clear-text", "Empties the text field";
    CursorLeft => "cursor-left", "Goes one letter left";
    CursorRight => "cursor-right", "Goes one letter right";
    CursorHome => "cursor-home", "Goes to the first letter";
    CursorEnd => "cursor-end", "Goes behind the last letter";
    DoStep => "do-step", "Ticks the step and goes to the next";
    UndoStep => "undo-step", "Takes the last tick back";
    StartStep => "start-step", "Says that the step begins now";
    TickPlace => "tick-place", "Ticks all open steps of this place";
    CountStep => "count-step", "Ticks a part: how many are done";
    HoldStep => "hold-step", "Holds the step, with a reason if you like";
    SkipStep => "skip-step", "Leaves the step out this time";
    ReopenStep => "reopen-step", "Opens a done, held or skipped step again";
    FaultHere => "fault-here", "Logs a fault at this step's prop";
    DoDifferently => "do-differently", "Ticks it and says what was different";
    LogDark => "log-dark", "Says how long the show, or a prop, stayed dark tonight";
    CorrectTime => "correct-time", "Corrects how long a done step took";
    AllGood => "all-good", "At takedown: all of this step came off good and dry; ticks it";
    CameOff => "came-off", "At takedown: what came off wet, worn or faulty, or is missing";
    AloneStep => "alone-step", "Confirms that one person does this step alone; never on a roof or an extension ladder";
    NoteStep => "note-step", "Writes a note to this step";
    ReadMeter => "read-meter", "Takes the currents read at the load rehearsal, one after another";
    ShowFetch => "show-fetch", "Shows what to bring";
    NextSession => "next-session", "Goes to the next session";
    PrevSession => "prev-session", "Goes to the session before";
    TurnWhose => "turn-whose", "Shows the steps of one person, of the next, of all";
    ToggleBig => "toggle-big", "One step in big letters, or the list";
    ChoosePhase => "choose-phase", "Chooses bench, up, tonight, down or change";
    NewFault => "new-fault", "Logs a fault";
    PatchFault => "patch-fault", "Records a patch; the bench mends it in summer";
    SwitchOffFault => "switch-off-fault", "Records that it was switched off";
    MendFault => "mend-fault", "Records the mend, with cause and minutes";
    TestFault => "test-fault", "Records that the mend was tested";
    MoreFault => "more-fault", "Other entries: looked, part, replaced, scrapped, reopened";
    AskGuide => "ask-guide", "Goes through what to try; the answers stay with the fault";
    AddPhoto => "add-photo", "Copies a picture file to this fault";
    OpenPhoto => "open-photo", "Opens this fault's latest photo with the system's viewer";
    ToggleBench => "toggle-bench", "Shows only what waits on the bench, or all";
    SortRows => "sort-rows", "Sorts by code, name, place or state";
    GroupRows => "group-rows", "Groups by kind, place or state, or not";
    FilterKind => "filter-kind", "Shows one kind only: pieces, stock, props …";
    EditField => "edit-field", "Changes this row: a form of all that is told of it";
    KeepPlan => "keep-plan", "Keeps this plan as what people expect";
    AddForecast => "add-forecast", "Types the forecast of a session, or in Walk of tonight";
    MoveSession => "move-session", "Moves the marked session to another date or time";
    SessionPeople => "session-people", "Changes who comes to the marked session";
    DropSession => "drop-session", "Lets the marked session fall away";
    WhatIf => "what-if", "Shows finish and odds with a change, without making it";
    AddSession => "add-session", "Adds a working session";
    HoldPlacement => "hold-placement", "Holds a prop back, or lets it go on";
    SwitchMarks => "switch-marks", "Marks the places by progress, faults or load";
    TryChange => "try-change", "Tries a level, a gauge, a feed; a budget, fewer vendors; no fact is touched";
    ProposeNumbers => "propose-numbers", "Proposes universes and slots: numbers run on, no pixel split, or each prop fresh";
    WriteNumbers => "write-numbers", "Writes the proposed universes and slots; what is set stays";
    PutPiece => "put-piece", "Puts pieces into the marked tote by typing or scanning their labels; a tote's label changes the tote";
    ShowMap => "show-map", "Shows rooms and shelves with the totes on each, and the list again";
    TakePiece => "take-piece", "Takes pieces out of where they lie, by their labels";
    CountTote => "count-tote", "Counts the marked tote: all there, or what is missing or found";
    WritePack => "write-pack", "Lets every piece live where pack proposes";
    AddNeed => "add-need", "Adds something to buy";
    AddOffer => "add-offer", "Adds a price of the marked need at a vendor";
    PlaceOrder => "place-order", "Writes an order of what a basket has";
    ReceiveOrder => "receive-order", "Takes in what arrived of an order";
    ExpectOrder => "expect-order", "Tells the day an order is to come now";
    NewSeason => "new-season", "Opens a new season with its lights-on date";
    SwitchSeason => "switch-season", "Shows the marked season on every screen; again: what the date asks for";
    CloseSeason => "close-season", "Closes a season";
}

impl Action {
    /// The action of a text name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::NAMED.iter().copied().find(|a| a.name() == name)
    }
}
