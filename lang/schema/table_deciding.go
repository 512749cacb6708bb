package schema

func controllers() []entry {
	return []entry{
		{Kind{ID: Powered, Name: "powered", Group: Controllers, Where: InPart | InFit, Head: HeadEnds,
			Doc: "Makes its body a controller, which acts only on what it reads and only while it has its working voltage."}, forms(
			req(PoweredWorks, "works from {volts:value voltage positive}", "The voltage from which it works."),
			opt(PoweredDraws, "draws {current:value current from-0}", "What it takes itself; without it nothing."),
		)},
		{Kind{ID: Input, Name: "input", Group: Controllers, Where: InPart | InFit, Head: HeadName,
			Doc: "What a controller reads: a sender's quantity, or whether a pin is low or high."}, forms(
			req(InputAt, "at {pin:pin}", "The pin that it reads."),
			alike("reads",
				req(InputReadsSender, "reads sender", "It reads the quantity that a sender puts on the wire."),
				opt(InputReadsVolts, "reads volts", "It reads whether the pin is low or high."),
			),
			alike("counts",
				opt(InputCountsLevel, "counts as {level:one of low|high} while disconnected", "What it reads while nothing is joined to the pin."),
				opt(InputCountsValue, "counts as {value:value any signed} while disconnected", "What it reads while no sender is joined to the pin."),
			),
			opt(InputPulledUp, "pulled up {resistance:value resistance positive} to {volts:value voltage positive}", "A resistor inside to an inner voltage."),
			opt(InputPulledDown, "pulled down {resistance:value resistance positive}", "A resistor inside to its ground."),
			opt(InputLow, "low below {volts:value voltage positive}", "Below this it is low."),
			opt(InputHigh, "high above {volts:value voltage positive}", "Above this it is high; between the two it keeps its last reading."),
		)},
		{Kind{ID: Driver, Name: "driver", Group: Controllers, Where: InPart | InFit, Head: HeadName,
			Doc: "An output of a controller that earths or feeds a pin."}, forms(
			alike("switches",
				req(DriverEarths, "earths {pin:pin} to {ground:pin}", "It joins the pin to its ground pin."),
				opt(DriverFeeds, "feeds {pin:pin} from {feed:pin}", "It feeds the pin out of its feed pin."),
			),
			req(DriverWhen, "when {cond:cond}", "It is on while this is true."),
			opt(DriverUpTo, "up to {current:value current positive}", "The current that it may carry."),
			opt(DriverInside, "inside {resistance:value resistance from-0}", "Its resistance when on; without it 50 mohm."),
			opt(DriverClamped, "clamped", "It has its own clamp for windings."),
		)},
	}
}

func deciding() []entry {
	return []entry{
		{Kind{ID: Threshold, Name: "threshold", Group: Deciding, Where: InBodies, Head: HeadName,
			Doc: "A yes or no with memory: set at one value, cleared at another."}, forms(
			alike("sets",
				req(ThresholdSetsAt, "sets at {value:value any signed}", "It is set when the value is reached, from the side that the two values imply."),
				opt(ThresholdSetsAbove, "sets above {value:value any signed}", "It is set above this."),
				opt(ThresholdSetsBelow, "sets below {value:value any signed}", "It is set below this."),
			),
			alike("clears",
				req(ThresholdClearsAt, "clears at {value:value any signed}", "It is cleared when the value is reached."),
				opt(ThresholdClearsBelow, "clears below {value:value any signed}", "It is cleared below this."),
				opt(ThresholdClearsAbove, "clears above {value:value any signed}", "It is cleared above this."),
			),
			opt(ThresholdStartsSet, "starts set", "It is set at first; without it clear."),
			req(ThresholdSubject, "{subject:subject}", "What it watches: a quantity, an input, `current through X`, `volts A to B`, `volts at A`."),
		)},
		{Kind{ID: Timer, Name: "timer", Group: Deciding, Where: InBodies, Head: HeadName, Body: MayHaveBody, Inside: InTimer,
			Doc: "Idle, running, done: what lasts for a time. Rows in a body give the time by case."}, forms(
			alike("begins",
				req(TimerRuns, "runs while {cond:cond}", "It runs while this is true, is done when it has lasted, and idle again when this ends."),
				opt(TimerStarts, "starts when {cond:cond}", "Once this has begun, the timer runs to its end, even if the condition ends."),
			),
			orBody(req(TimerLasts, "lasts {time:value-or-range time positive}", "How long it lasts; two times are an interval, somewhere in which it ends.")),
			opt(TimerStops, "stops when {cond:cond}", "Back to idle."),
		)},
		{Kind{ID: TimerRow, Name: "row", Group: Deciding, Where: InTimer, Head: HeadName,
			Doc: "How long a timer lasts in one case; the case is fixed when it starts."}, forms(
			req(TimerRowLasts, "lasts {time:value-or-range time positive}", "How long it lasts."),
			alike("case",
				req(TimerRowWhen, "when {cond:cond}", "The case."),
				opt(TimerRowOtherwise, "otherwise", "Every other case."),
			),
		)},
		{Kind{ID: Beat, Name: "beat", Group: Deciding, Where: InBodies, Head: HeadName,
			Doc: "An intended rhythm, such as a flasher's. It starts on."}, forms(
			req(BeatOn, "on {time:value time positive}", "How long it is on."),
			req(BeatOff, "off {time:value time positive}", "How long it is off."),
			opt(BeatWhile, "while {cond:cond}", "It beats only while this is true."),
		)},
		{Kind{ID: Condition, Name: "condition", Group: Deciding, Where: InBodies, Head: HeadName,
			Doc: "A condition with a name."}, forms(
			req(ConditionIs, "{cond:cond}", "The condition."),
		)},
		{Kind{ID: Result, Name: "result", Group: Deciding, Where: InBodies, Head: HeadName, Body: MustHaveBody, Inside: InResult,
			Doc: "A named outcome as a table of cases; exactly one row should be true."}, nil},
		{Kind{ID: ResultRow, Name: "row", Group: Deciding, Where: InResult, Head: HeadName,
			Doc: "One outcome and its case."}, forms(
			alike("case",
				req(ResultRowWhen, "when {cond:cond}", "The case."),
				opt(ResultRowOtherwise, "otherwise", "Every other case."),
			),
		)},
		{Kind{ID: Modes, Name: "modes", Group: Deciding, Where: InBodies, Head: HeadName, Body: MustHaveBody, Inside: InModes,
			Doc: "A machine that is in one of several modes and goes from one to another."}, forms(
			req(ModesStart, "starts in {mode:name}", "The mode that it starts in."),
		)},
		{Kind{ID: Mode, Name: "mode", Group: Deciding, Where: InModes, Head: HeadNames,
			Doc: "Names modes."}, nil},
		{Kind{ID: From, Name: "from", Group: Deciding, Where: InModes, Head: HeadMove,
			Doc: "A transition. Of several that are enabled the first written wins; one is taken a move."}, forms(
			req(FromWhen, "when {cond:cond}", "When it is taken."),
		)},
		{Kind{ID: Bands, Name: "bands", Group: Deciding, Where: InBodies, Head: HeadName, Body: MustHaveBody, Inside: InBands,
			Doc: "A partition of a quantity into named bands, with what must hold in each."}, forms(
			req(BandsOver, "over {quantity:ref}", "The quantity or input that is divided."),
			opt(BandsWhile, "while {cond:cond}", "The bands speak of the time while this is true."),
		)},
		{Kind{ID: Band, Name: "band", Group: Deciding, Where: InBands, Head: HeadName,
			Doc: "One band, its lower end included and its upper not; the last includes the end of the range."}, forms(
			opt(BandKeeps, "keeps", "It keeps the band that one came from."),
			opt(BandEnters, "enters as {band:name}", "Which band it counts as where there is none to have come from."),
			req(BandRange, "{range:range any signed unordered}", "From where to where."),
			many(BandClaim, "{cond:cond}", "What must hold there."),
		)},
	}
}

func claims() []entry {
	return []entry{
		{Kind{ID: Assume, Name: "assume", Group: Claims, Where: InTop | InBench, Head: HeadName,
			Doc: "What the surroundings never do. It restricts quantities and settings only."}, forms(
			alike("claim",
				req(AssumeNever, "never {cond:cond}", "This is never so."),
				opt(AssumeAlways, "always {cond:cond}", "This is always so."),
				opt(AssumeFalls, "{quantity:ref} falls only while {cond:cond}", "A quantity falls only while this is true."),
				opt(AssumeRises, "{quantity:ref} rises only while {cond:cond}", "A quantity rises only while this is true."),
				opt(AssumeMoves, "{setting:ref} moves to {position:name} only while {cond:cond}", "A setting is moved there only while this is true."),
			),
		)},
		{Kind{ID: Require, Name: "require", Group: Claims, Where: InTop | InBench, Head: HeadNameMaybe,
			Doc: "What must hold, in every state that can be reached."}, forms(
			alike("claim",
				req(RequireNever, "never {cond:cond}", "There is no state in which this is true."),
				opt(RequireAlways, "always {cond:cond}", "This is true in every state."),
				opt(RequirePossible, "possible {cond:cond}", "There is a state in which this is true."),
				opt(RequireApart, "apart {a:pin} and {b:pin}", "The two are never joined by metal."),
				opt(RequireWithin, "{cond:cond} within {time:value time from-0} whenever {whenever:cond}", "Whenever the second becomes true the first is true within that time."),
				opt(RequireWhenever, "{cond:cond} whenever {whenever:cond}", "The first is true in every state in which the second is."),
				opt(RequireRepeatsWhenever, "{cond:cond} repeats within {time:value time positive} whenever {whenever:cond}",
					"While the second is true the first becomes true again and again, each time within that time."),
				opt(RequireRepeats, "{cond:cond} repeats within {time:value time positive}", "It becomes true again and again, each time within that time."),
			),
			alike("despite",
				opt(RequireDespite, "despite any one fault", "It holds with any one fault as well."),
				opt(RequireDespiteBut, "despite any one fault but {faults:faults}", "It holds with any one fault but those that are named."),
				opt(RequireDespiteTwo, "despite any two faults", "It holds with any one and any two faults as well."),
				opt(RequireDespiteNamed, "despite {faults:faults}", "It holds with each of the faults that are named, one at a time."),
			),
		)},
		{Kind{ID: Drive, Name: "drive", Group: Claims, Where: InTop | InBench, Head: HeadName, Body: MustHaveBody, Inside: InDrive,
			Doc: "A run through the design in real time, step by step, with what is to be seen."}, forms(
			many(DriveWith, "with {option:ref} is {position:name}", "The variant that is driven."),
			opt(DriveFrom, "from the state of {drive:ref}", "It goes on where another drive ended."),
		)},
		{Kind{ID: Step, Name: "step", Group: Claims, Where: InDrive, Head: HeadOptionalName,
			Doc: "One step of a drive: what is set at its beginning, what moves, how long it waits, and what is to be seen."}, forms(
			many(StepSetValue, "set {quantity:ref} {value:value any written signed}", "Puts a quantity or a supply at a value at the beginning of the step."),
			many(StepSetPosition, "set {setting:ref} {position:name}", "Puts a setting in a position at the beginning of the step."),
			many(StepRamp, "ramp {quantity:ref} to {value:value any signed} over {time:value time positive}", "Moves a quantity evenly; several move together."),
			opt(StepWait, "wait {time:value time from-0}", "How long the step waits."),
			many(StepSeeOnce, "see {cond:cond} once {once:cond}", "Seen from when the second condition first holds in this step."),
			many(StepSeeThroughout, "see {cond:cond} throughout", "Seen during the whole step."),
			many(StepSeeEnd, "see {cond:cond} at end", "Seen at the end of the step."),
			many(StepSee, "see {cond:cond}", "Seen at the end of the step."),
			many(StepFail, failPattern, "A fault comes at the beginning of the step."),
			many(StepSwap, "swap {a:ref} with {b:ref}", "Two connectors are swapped at the beginning of the step."),
			many(StepMend, "mend {thing:ref}", "A fault goes at the beginning of the step."),
		)},
		{Kind{ID: Symptom, Name: "symptom", Group: Claims, Where: InTop | InBench, Head: HeadNameText,
			Doc: "What a driver or a tester notices, and the condition that it is."}, forms(
			req(SymptomWhen, "{cond:cond}", "When it is noticed."),
		)},
		{Kind{ID: Noticed, Name: "noticed", Group: Claims, Where: InTop | InBench, Head: HeadName,
			Doc: "Claims that a fault is noticed: that something shows, or is refused, at once or before something else comes."}, forms(
			alike("faults",
				req(NoticedAny, "any one fault of {thing:ref}", "Each single fault of this and of what is in it that changes anything."),
				opt(NoticedAnyBut, "any one fault of {thing:ref} but {faults:faults}", "Each of them but those that are named."),
				opt(NoticedFaults, "{faults:faults}", "Each of these faults."),
			),
			alike("shows",
				least(1, NoticedShows, "shows as {cond:cond}", "What then shows: a tell-tale that is lit, say."),
				many(NoticedSymptom, "shows symptom {symptom:ref}", "A symptom that then shows."),
				many(NoticedRefuses, "refuses {cond:cond}", "What then no longer comes: the start is refused."),
			),
			opt(NoticedBefore, "before {cond:cond}", "By when it has shown at the latest: when this next comes; without it at once."),
		)},
		{Kind{ID: Fault, Name: "fault", Group: Claims, Where: InTop | InBench, Head: HeadName,
			Doc: "A fault beyond those that are generated for every element."}, forms(
			alike("fault",
				least(1, FaultSwap, "swap {a:ref} with {b:ref}", "Two connectors are swapped."),
				many(FaultFail, failPattern, "Something fails."),
			),
		)},
		{Kind{ID: Accept, Name: "accept", Group: Claims, Where: InBodies, Head: HeadRule,
			Doc: "Accepts the finding of one rule on one thing, with the reason and optionally until a date."}, forms(
			alike("on",
				req(AcceptOnDesign, "on the design", "What the finding is about: the design as a whole."),
				opt(AcceptOn, "on {thing:ref}", "What the finding is about."),
			),
			req(AcceptBecause, "because {reason:text}", "The reason."),
			opt(AcceptUntil, "until {date:date}", "The last day on which it is accepted."),
		)},
	}
}

// The modes in which things fail; which of them a thing has is a matter of its kind.
const (
	failModes = "open|shorted|to ground|to feed|off|blown|" +
		"stuck made|stuck open|stuck on|stuck off|stuck shut|silent|stuck"
	failPattern = "fail {thing:ref} {mode:one of " + failModes + "}"
)
