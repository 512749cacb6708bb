package schema

import "slices"

// entries is the whole table in the order of the reference.
func entries() []entry {
	return slices.Concat(world(), joining(), partsAndFits(), body(), controllers(), deciding(), claims())
}

const media = "vacuum|pressure|air|fuel|coolant|oil"

func world() []entry {
	return []entry{
		{Kind{ID: Title, Name: "title", Group: World, Where: InTop, Head: HeadText,
			Doc: "The name of the design. It stands at the top of the root file."}, nil},
		{Kind{ID: Use, Name: "use", Group: World, Where: InTop, Head: HeadUse,
			Doc: "Brings in the top-level declarations of another file, optionally under a short name."}, nil},
		{Kind{ID: Quantity, Name: "quantity", Group: World, Where: InBodies, Head: HeadName,
			Doc: "A value that changes continuously: an engine speed, a temperature, a pressure."}, forms(
			req(QuantityRange, "{range:range any signed rising}", "Its range, both ends included."),
			opt(QuantityChanges, "changes at most {rate:value any difference positive} per {per:one of s|min}", "How fast it changes at most. Without it there is no limit."),
			opt(QuantityStarts, "starts at {value:value any signed}", "Its value when the battery is connected. Without it: the lower end of its range."),
		)},
		{Kind{ID: Setting, Name: "setting", Group: World, Where: InBodies, Head: HeadName,
			Doc: "Something that a person or the vehicle puts in a position: a key, a lever, a pedal stop, a door."}, forms(
			opt(SettingInOrder, "in order", "It moves only to a neighbouring position."),
			many(SettingSpringsBack, "springs back from {from:name} to {to:name}", "When it is let go, it returns to another position."),
			opt(SettingStarts, "starts at {position:name}", "Its position at the start. Without it: the first position."),
			least(2, SettingPosition, "{position:name}", "One of its positions."),
		)},
		{Kind{ID: Option, Name: "option", Group: World, Where: InTop, Head: HeadName,
			Doc: "A variant of the vehicle. Every combination of options is checked separately."}, forms(
			least(2, OptionPosition, "{position:name}", "One of the variants."),
		)},
		{Kind{ID: Only, Name: "only", Group: World, Where: Anywhere, Head: HeadWhen, Body: MustHaveBody,
			Doc: "Includes its body only in the combinations of options in which the condition is true."}, nil},
		{Kind{ID: Ground, Name: "ground", Group: World, Where: InBodies, Head: HeadName,
			Doc: "The zero of all voltages. A design has one; other earths are nodes that wires join to it."}, nil},
		{Kind{ID: Node, Name: "node", Group: World, Where: InBodies, Head: HeadPins,
			Doc: "Named points without extent: a stud, a busbar."}, nil},
		{Kind{ID: Supply, Name: "supply", Group: World, Where: InBodies, Head: HeadName,
			Doc: "A source of voltage between two points: a battery, an alternator, a pack."}, forms(
			req(SupplyEnds, "from {minus:pin} to {plus:pin}", "Its two ends, minus first. A new name becomes a terminal of the supply."),
			opt(SupplyInside, "inside {resistance:value resistance from-0}", "Its internal resistance. Without it: 10 mohm."),
			opt(SupplyAnywhere, "anywhere between {range:pair voltage positive}", "The range of its voltage from run to run. During a run the voltage does not change."),
			opt(SupplyOneWay, "one way", "It supplies current and never accepts any."),
			opt(SupplyWhile, "while {cond:cond}", "It supplies its voltage only while this is true. Without it: always."),
			req(SupplyVolts, "{volts:value voltage positive}", "Its nominal voltage."),
		)},
		{Kind{ID: Origin, Name: "origin", Group: World, Where: InBodies, Head: HeadName,
			Doc: "A source of vacuum, pressure, air, fuel, coolant or oil. Hoses join it by its name."}, forms(
			opt(OriginPresent, "present when {cond:cond}", "It supplies only while this is true. Without it: always."),
			req(OriginMedium, "{medium:one of "+media+"}", "What it supplies."),
		)},
	}
}

func joining() []entry {
	return []entry{
		{Kind{ID: Wire, Name: "wire", Group: Joining, Where: InBodies, Head: HeadName,
			Doc: "A wire between two points, with its colour, cross-section and length."}, forms(
			opt(WireRated, "rated {current:value current positive}", "The current that it may carry, instead of the table's value for its size."),
			opt(WireAt, "at {temperature:value temperature signed}", "The temperature of its copper. Without it: 20 degC."),
			req(WireEnds, "{from:pin} to {to:pin}", "Its two ends. `each` before a pin of a repeated fit makes one wire for each fit."),
			opt(WireColour, "{colour:colour}", "Its colour, base first: black/yellow, light green/white."),
			opt(WireArea, "{area:value cross-section written positive}", "Its cross-section, such as 1.5 mm2 or 16 AWG. Without it: 1 mm2."),
			opt(WireLength, "{length:value length written positive}", "Its length. Without it: 1 m."),
			many(WireByArgument, "{value:ref takes}", "An argument of the part that holds its cross-section or its length."),
		)},
		{Kind{ID: Splice, Name: "splice", Group: Joining, Where: InBodies, Head: HeadNames,
			Doc: "Crimp or solder joints that wires end at."}, nil},
		{Kind{ID: Connector, Name: "connector", Group: Joining, Where: InBodies, Head: HeadName,
			Doc: "Two halves that plug together. Its ways are named by their number: C1.1."}, forms(
			opt(ConnectorKeyed, "keyed {key:word}", "Its keying. Halves with the same number of ways and the same key fit each other."),
			opt(ConnectorPlugsOnto, "plugs onto {pins:refs}", "The pins of the component that carries the other half, in the order of the ways."),
			many(ConnectorInReach, "in reach of {other:ref connector}", "A connector that it can be confused with when both are unplugged."),
			req(ConnectorWays, "{ways:count} way", "How many ways it has."),
			opt(ConnectorColour, "{colour:colour}", "The colour of its body."),
		)},
		{Kind{ID: Hose, Name: "hose", Group: Joining, Where: InBodies, Head: HeadName,
			Doc: "A hose or pipe between two ports, or an origin and a port."}, forms(
			opt(HoseClamped, "clamped", "It is clamped and does not come off."),
			req(HoseEnds, "{from:pin port|origin} to {to:pin port|origin}", "Its two ends."),
		)},
	}
}

func partsAndFits() []entry {
	return []entry{
		{Kind{ID: Part, Name: "part", Group: Parts, Where: InTop, Head: HeadName, Body: MustHaveBody, Inside: InPart,
			Doc: "A reusable component. From outside, only its pins, its ports and what it `shows` can be named."}, nil},
		{Kind{ID: Takes, Name: "takes", Group: Parts, Where: InPart, Head: HeadName,
			Doc: "An argument of a part: a value with a unit, a condition, a quantity, a setting or a count."}, forms(
			opt(TakesDefaultWhen, "when {cond:cond} unless said", "The condition, unless a fit gives another one."),
			opt(TakesDefault, "{value:default} unless said", "The value, unless a fit gives another one."),
			req(TakesType, "{type:type}", "Its type: a unit, condition, quantity, setting or count."),
		)},
		{Kind{ID: Shows, Name: "shows", Group: Parts, Where: InPart, Head: HeadNames,
			Doc: "Inner things of a part that may be named from outside."}, nil},
		{Kind{ID: Fit, Name: "fit", Group: Parts, Where: InBodies, Head: HeadName, Body: MayHaveBody, Inside: InFit,
			Doc: "Puts a part in place, several of them, or a one-off with its own body."}, forms(
			alike("what",
				orBody(req(FitElsewhere, "elsewhere", "Something outside this description. Only the limits in its body are known.")),
				opt(FitMany, "{count:count} of {part:call}", "Several of a part: NAME.1, NAME.2 and so on."),
				opt(FitPart, "{part:call}", "The part, with its arguments in parentheses."),
			),
		)},
		{Kind{ID: Bench, Name: "bench", Group: Parts, Where: InPart, Head: HeadName, Body: MustHaveBody, Inside: InBench,
			Doc: "A test bench: surroundings, drives and claims with which a part is checked by itself."}, forms(
			many(BenchWith, "with {args:args}", "The arguments of the part on this bench."),
		)},
	}
}

func body() []entry {
	ends := func(id FormID, doc string) form { return req(id, "{a:pin} to {b:pin}", doc) }
	return []entry{
		{Kind{ID: Pin, Name: "pin", Group: Body, Where: InBodies, Head: HeadPins,
			Doc: "Electrical terminals, by the names that the trade gives them: 30, 87a, B+."}, nil},
		{Kind{ID: Port, Name: "port", Group: Body, Where: InBodies, Head: HeadNames,
			Doc: "Connections for hoses."}, forms(
			opt(PortOpen, "open to air", "It is open to the air."),
			opt(PortMedium, "{medium:one of "+media+"}", "What flows there."),
		)},
		{Kind{ID: Coil, Name: "coil", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A winding. With `pulls in` it moves an armature of its own; otherwise it moves the `armature` that names it."}, forms(
			opt(CoilPullsIn, "pulls in at {volts:value voltage positive}", "It pulls in at this voltage or more, of either polarity."),
			opt(CoilDropsOut, "drops out at {volts:value voltage positive}", "It drops out below this voltage."),
			opt(CoilTurns, "turns {turns:count}", "Its number of turns, for an armature with several coils."),
			ends(CoilEnds, "Its two ends."),
			req(CoilResistance, "{resistance:value resistance +- positive}", "Its resistance at 20 degC."),
		)},
		{Kind{ID: Armature, Name: "armature", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "An armature that several coils move by the sum of their ampere-turns, or that one coil sets and another releases."}, forms(
			many(ArmatureMovedAgainst, "moved by {coil:ref coil} against", "A coil that is wound to oppose the others."),
			many(ArmatureMoved, "moved by {coil:ref coil}", "A coil that moves it."),
			opt(ArmaturePullsIn, "pulls in at {turns:value ampere-turns positive}", "It pulls in at this magnitude of the sum or more."),
			opt(ArmatureDropsOut, "drops out at {turns:value ampere-turns positive}", "It drops out below this magnitude of the sum."),
			many(ArmatureSet, "set by {coil:ref coil}", "The coil that sets it. It stays set without current."),
			many(ArmatureReleased, "released by {coil:ref coil}", "The coil that releases it."),
		)},
		{Kind{ID: Contact, Name: "contact", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A contact that makes or breaks, or a changeover between two throws."}, forms(
			alike("type",
				opt(ContactMake, "make", "It is closed while its coil is pulled in."),
				opt(ContactBreak, "break", "It is closed while its coil is released."),
			),
			alike("order",
				opt(ContactBreaksFirst, "breaks first", "The changeover leaves one throw before it reaches the other; this is the default."),
				opt(ContactMakesFirst, "makes first", "The changeover touches both throws on its way."),
			),
			alike("mover",
				opt(ContactBy, "by {mover:ref coil|armature}", "The coil or armature that moves it."),
				opt(ContactMadeWhen, "made when {cond:cond}", "Something other than a coil closes it: a hand, a pressure, a cam."),
				opt(ContactMadeSometimes, "made sometimes", "It is not known when it closes. For contacts in an `elsewhere` body."),
			),
			opt(ContactGoesTo, "goes to {working:pin}", "The working throw of a changeover."),
			opt(ContactUpTo, "up to {current:value current positive}", "The current that it may carry."),
			alike("ends",
				req(ContactRests, "{common:pin} rests on {resting:pin}", "A changeover: its common and its resting throw."),
				opt(ContactEnds, "{a:pin} to {b:pin}", "Its two ends."),
			),
			opt(ContactResistance, "{resistance:value resistance from-0}", "Its resistance when closed. Without it: 5 mohm."),
		)},
		{Kind{ID: Chart, Name: "chart", Group: Body, Where: InBodies, Head: HeadName, Body: MustHaveBody, Inside: InChart,
			Doc: "Which pins a switch joins in which position."}, forms(
			req(ChartFollows, "follows {setting:ref setting}", "The setting that it follows."),
			opt(ChartUpTo, "up to {current:value current positive}", "The current that each of its contacts may carry."),
		)},
		{Kind{ID: ChartRow, Name: "row", Group: Body, Where: InChart, Head: HeadNames,
			Doc: "What is joined in one position, or in several."}, forms(
			alike("joins",
				least(1, ChartRowOpen, "open", "Nothing is joined."),
				many(ChartRowJoins, "{a:pin} to {b:pin}", "Two pins that are joined."),
			),
		)},
		{Kind{ID: Load, Name: "load", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A consumer of current: a lamp, a motor, a heater."}, forms(
			opt(LoadCold, "cold {percent:value percentage share}", "Its resistance when cold, in percent of the hot one."),
			ends(LoadEnds, "Its two ends."),
			req(LoadRated, "{rated:value-or-range power|current|resistance positive} at {volts:value voltage positive}", "Its power, current or resistance at its rated voltage."),
			many(LoadLevel, "{level:name} from {percent:value percentage positive}", "A named level, reached at this share of the rated voltage."),
		)},
		{Kind{ID: Resistor, Name: "resistor", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A resistor."}, forms(
			ends(ResistorEnds, "Its two ends."),
			req(ResistorValue, "{resistance:value resistance +- positive}", "Its resistance."),
		)},
		{Kind{ID: Diode, Name: "diode", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A diode, from anode to cathode."}, forms(
			opt(DiodeDrop, "drop {volts:value voltage from-0}", "Its voltage when it conducts. Without it: 0.7 V."),
			ends(DiodeEnds, "Anode and cathode."),
		)},
		{Kind{ID: Fuse, Name: "fuse", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A fuse."}, forms(
			ends(FuseEnds, "Its two ends."),
			req(FuseRating, "{current:value current positive}", "Its rating."),
		)},
		{Kind{ID: Passage, Name: "passage", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A path between two ports that is open or shut, such as a valve."}, forms(
			alike("when",
				req(PassagePasses, "passes when {cond:cond}", "It is open while this is true."),
				opt(PassageAlways, "always open", "It is never shut."),
			),
			opt(PassageOneWay, "one way", "It passes from the first port to the second only."),
			req(PassageEnds, "{a:pin port|origin} to {b:pin port|origin}", "Its two ports."),
		)},
		{Kind{ID: Sender, Name: "sender", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A sensor: it reports a quantity on a wire."}, forms(
			req(SenderAt, "at {pin:pin}", "The pin of its signal."),
			req(SenderTells, "tells {quantity:ref quantity}", "The quantity that it measures."),
			opt(SenderAccuracy, "accuracy {by:value any difference from-0}", "Its greatest error."),
		)},
	}
}
