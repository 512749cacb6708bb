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
			Doc: "Names the design; at the top of its root file."}, nil},
		{Kind{ID: Use, Name: "use", Group: World, Where: InTop, Head: HeadUse,
			Doc: "Brings in the top-level declarations of another file, optionally under a short name."}, nil},
		{Kind{ID: Quantity, Name: "quantity", Group: World, Where: InBodies, Head: HeadName,
			Doc: "Something that moves continuously in the world: an engine speed, a temperature, a pressure."}, forms(
			req(QuantityRange, "{range:range any signed rising}", "The range that it moves in, both ends included."),
			opt(QuantityChanges, "changes at most {rate:value any difference positive} per {per:one of s|min}", "How fast it moves at most; without it there is no limit."),
			opt(QuantityStarts, "starts at {value:value any signed}", "Where it stands when the battery is connected; without it the lower end."),
		)},
		{Kind{ID: Setting, Name: "setting", Group: World, Where: InBodies, Head: HeadName,
			Doc: "Something that is put in a position from outside: a key, a lever, a pedal stop, a door."}, forms(
			opt(SettingInOrder, "in order", "It moves only to a neighbouring position."),
			many(SettingSpringsBack, "springs back from {from:name} to {to:name}", "Let go by hand it returns to another position."),
			opt(SettingStarts, "starts at {position:name}", "Where it stands at first; without it the first position."),
			least(2, SettingPosition, "{position:name}", "One of its positions."),
		)},
		{Kind{ID: Option, Name: "option", Group: World, Where: InTop, Head: HeadName,
			Doc: "A variant of the vehicle. Every combination of options is checked by itself."}, forms(
			least(2, OptionPosition, "{position:name}", "One of the variants."),
		)},
		{Kind{ID: Only, Name: "only", Group: World, Where: Anywhere, Head: HeadWhen, Body: MustHaveBody,
			Doc: "Keeps what stands in its body only in those combinations of options in which a condition is true."}, nil},
		{Kind{ID: Ground, Name: "ground", Group: World, Where: InBodies, Head: HeadName,
			Doc: "The zero of the design; there is one. Other earths are nodes joined to it by wires."}, nil},
		{Kind{ID: Node, Name: "node", Group: World, Where: InBodies, Head: HeadPins,
			Doc: "Named points without extent: a stud, a busbar."}, nil},
		{Kind{ID: Supply, Name: "supply", Group: World, Where: InBodies, Head: HeadName,
			Doc: "A source of voltage between two points: a battery, an alternator, a pack."}, forms(
			req(SupplyEnds, "from {minus:pin} to {plus:pin}", "Its two ends, from minus to plus. A name that is not known becomes a terminal of the supply."),
			opt(SupplyInside, "inside {resistance:value resistance from-0}", "Its inside resistance; without it 10 mohm."),
			opt(SupplyAnywhere, "anywhere between {range:pair voltage positive}", "What its voltage may be from run to run; it stays the same during one."),
			opt(SupplyOneWay, "one way", "It gives current and never takes it."),
			opt(SupplyWhile, "while {cond:cond}", "It is there only while this is true; without it always."),
			req(SupplyVolts, "{volts:value voltage positive}", "Its nominal voltage."),
		)},
		{Kind{ID: Origin, Name: "origin", Group: World, Where: InBodies, Head: HeadName,
			Doc: "Where vacuum, pressure, air, fuel, coolant or oil comes from. A hose joins its name."}, forms(
			opt(OriginPresent, "present when {cond:cond}", "It gives only while this is true; without it always."),
			req(OriginMedium, "{medium:one of "+media+"}", "What it gives."),
		)},
	}
}

func joining() []entry {
	return []entry{
		{Kind{ID: Wire, Name: "wire", Group: Joining, Where: InBodies, Head: HeadName,
			Doc: "A wire between two points, with its colour, cross-section and length."}, forms(
			opt(WireRated, "rated {current:value current positive}", "What it carries, instead of the table's value for its size."),
			opt(WireAt, "at {temperature:value temperature signed}", "The temperature of its copper; without it 20 degC."),
			req(WireEnds, "{from:pin} to {to:pin}", "Its two ends. `each` before a pin of a repeated fit makes one wire for each."),
			opt(WireColour, "{colour:colour}", "Its colour, base first: black/yellow, light green/white."),
			opt(WireArea, "{area:value cross-section written positive}", "Its cross-section, as 1.5 mm2 or 16 AWG; without it 1 mm2."),
			opt(WireLength, "{length:value length written positive}", "Its length; without it 1 m."),
			many(WireByArgument, "{value:ref takes}", "An argument of the part that holds its cross-section or its length."),
		)},
		{Kind{ID: Splice, Name: "splice", Group: Joining, Where: InBodies, Head: HeadNames,
			Doc: "Crimp or solder joints that wires end at."}, nil},
		{Kind{ID: Connector, Name: "connector", Group: Joining, Where: InBodies, Head: HeadName,
			Doc: "Two halves that plug together. Its ways are named by their number: C1.1."}, forms(
			opt(ConnectorKeyed, "keyed {key:word}", "How it is keyed; halves of the same ways and key fit each other."),
			opt(ConnectorPlugsOnto, "plugs onto {pins:refs}", "The other half is on a component: its pins in the order of the ways."),
			many(ConnectorInReach, "in reach of {other:ref connector}", "Another connector that it can be mistaken for when the plugs are off."),
			req(ConnectorWays, "{ways:count} way", "How many ways it has."),
			opt(ConnectorColour, "{colour:colour}", "The colour of its body."),
		)},
		{Kind{ID: Hose, Name: "hose", Group: Joining, Where: InBodies, Head: HeadName,
			Doc: "A hose or pipe between two ports, or an origin and a port."}, forms(
			opt(HoseClamped, "clamped", "It does not come off."),
			req(HoseEnds, "{from:pin port|origin} to {to:pin port|origin}", "Its two ends."),
		)},
	}
}

func partsAndFits() []entry {
	return []entry{
		{Kind{ID: Part, Name: "part", Group: Parts, Where: InTop, Head: HeadName, Body: MustHaveBody, Inside: InPart,
			Doc: "A reusable thing. Only its pins, its ports and what it shows are seen from outside."}, nil},
		{Kind{ID: Takes, Name: "takes", Group: Parts, Where: InPart, Head: HeadName,
			Doc: "An argument of a part: a value with a unit, a condition, a quantity, a setting or a count."}, forms(
			opt(TakesDefaultWhen, "when {cond:cond} unless said", "The condition that it is unless a fit says otherwise."),
			opt(TakesDefault, "{value:default} unless said", "What it is unless a fit says otherwise."),
			req(TakesType, "{type:type}", "What it takes: a unit, condition, quantity, setting or count."),
		)},
		{Kind{ID: Shows, Name: "shows", Group: Parts, Where: InPart, Head: HeadNames,
			Doc: "Inner things of a part that may be named from outside."}, nil},
		{Kind{ID: Fit, Name: "fit", Group: Parts, Where: InBodies, Head: HeadName, Body: MayHaveBody, Inside: InFit,
			Doc: "Puts a part in place, several of them, or a one-off with its own body."}, forms(
			alike("what",
				orBody(req(FitElsewhere, "elsewhere", "Something outside this description, known only within the bounds that its body gives.")),
				opt(FitMany, "{count:count} of {part:call}", "Several of a part: NAME.1, NAME.2 and so on."),
				opt(FitPart, "{part:call}", "The part, with what it takes in parentheses."),
			),
		)},
		{Kind{ID: Bench, Name: "bench", Group: Parts, Where: InPart, Head: HeadName, Body: MustHaveBody, Inside: InBench,
			Doc: "A small surrounding with drives and claims by which a part is checked on its own."}, forms(
			many(BenchWith, "with {args:args}", "What the part takes on this bench."),
		)},
	}
}

func body() []entry {
	ends := func(id FormID, doc string) form { return req(id, "{a:pin} to {b:pin}", doc) }
	return []entry{
		{Kind{ID: Pin, Name: "pin", Group: Body, Where: InBodies, Head: HeadPins,
			Doc: "Electrical terminals, called what the trade calls them: 30, 87a, B+."}, nil},
		{Kind{ID: Port, Name: "port", Group: Body, Where: InBodies, Head: HeadNames,
			Doc: "Where a hose joins."}, forms(
			opt(PortOpen, "open to air", "It ends in the open."),
			opt(PortMedium, "{medium:one of "+media+"}", "What flows there."),
		)},
		{Kind{ID: Coil, Name: "coil", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A winding. With `pulls in` it has an armature of its own; otherwise an `armature` is moved by it."}, forms(
			opt(CoilPullsIn, "pulls in at {volts:value voltage positive}", "It pulls in at this voltage or more, of either polarity."),
			opt(CoilDropsOut, "drops out at {volts:value voltage positive}", "It lets go below this voltage."),
			opt(CoilTurns, "turns {turns:count}", "Its turns, for an armature with several coils."),
			ends(CoilEnds, "Its two ends."),
			req(CoilResistance, "{resistance:value resistance +- positive}", "Its resistance at 20 degC."),
		)},
		{Kind{ID: Armature, Name: "armature", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "What several coils move by the signed sum of their ampere-turns, or what one coil sets and another releases."}, forms(
			many(ArmatureMovedAgainst, "moved by {coil:ref coil} against", "A coil that is wound so as to oppose."),
			many(ArmatureMoved, "moved by {coil:ref coil}", "A coil that moves it."),
			opt(ArmaturePullsIn, "pulls in at {turns:value ampere-turns positive}", "It pulls in at this magnitude of the sum or more."),
			opt(ArmatureDropsOut, "drops out at {turns:value ampere-turns positive}", "It lets go below this magnitude of the sum."),
			many(ArmatureSet, "set by {coil:ref coil}", "The coil that sets it; it stays without current."),
			many(ArmatureReleased, "released by {coil:ref coil}", "The coil that releases it."),
		)},
		{Kind{ID: Contact, Name: "contact", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A contact that makes or breaks, or a changeover between two throws."}, forms(
			alike("type",
				opt(ContactMake, "make", "Closed when pulled in."),
				opt(ContactBreak, "break", "Closed when let go."),
			),
			alike("order",
				opt(ContactBreaksFirst, "breaks first", "The changeover leaves one throw before it reaches the other; this is the default."),
				opt(ContactMakesFirst, "makes first", "The changeover touches both throws on its way."),
			),
			alike("mover",
				opt(ContactBy, "by {mover:ref coil|armature}", "The coil or armature that moves it."),
				opt(ContactMadeWhen, "made when {cond:cond}", "Moved by something outside: a hand, a pressure, a cam."),
				opt(ContactMadeSometimes, "made sometimes", "Nobody knows when; in an `elsewhere` body."),
			),
			opt(ContactGoesTo, "goes to {working:pin}", "The working throw of a changeover."),
			opt(ContactUpTo, "up to {current:value current positive}", "The current that it may carry."),
			alike("ends",
				req(ContactRests, "{common:pin} rests on {resting:pin}", "A changeover: its common and its resting throw."),
				opt(ContactEnds, "{a:pin} to {b:pin}", "Its two ends."),
			),
			opt(ContactResistance, "{resistance:value resistance from-0}", "Its resistance when closed; without it 5 mohm."),
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
			Doc: "Something that takes current: a lamp, a motor, a heater."}, forms(
			opt(LoadCold, "cold {percent:value percentage share}", "Its resistance when cold, in percent of the hot one."),
			ends(LoadEnds, "Its two ends."),
			req(LoadRated, "{rated:value-or-range power|current|resistance positive} at {volts:value voltage positive}", "What it takes at its rated voltage."),
			many(LoadLevel, "{level:name} from {percent:value percentage positive}", "A named level: at or above this share of the rated voltage."),
		)},
		{Kind{ID: Resistor, Name: "resistor", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A resistor."}, forms(
			ends(ResistorEnds, "Its two ends."),
			req(ResistorValue, "{resistance:value resistance +- positive}", "Its resistance."),
		)},
		{Kind{ID: Diode, Name: "diode", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A diode, from anode to cathode."}, forms(
			opt(DiodeDrop, "drop {volts:value voltage from-0}", "Its voltage when it conducts; without it 0.7 V."),
			ends(DiodeEnds, "Anode and cathode."),
		)},
		{Kind{ID: Fuse, Name: "fuse", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A fuse."}, forms(
			ends(FuseEnds, "Its two ends."),
			req(FuseRating, "{current:value current positive}", "Its rating."),
		)},
		{Kind{ID: Passage, Name: "passage", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "A way between two ports that is open or shut."}, forms(
			alike("when",
				req(PassagePasses, "passes when {cond:cond}", "It is open while this is true."),
				opt(PassageAlways, "always open", "It is never shut."),
			),
			opt(PassageOneWay, "one way", "It passes only from the first port to the second."),
			req(PassageEnds, "{a:pin port|origin} to {b:pin port|origin}", "Its two ports."),
		)},
		{Kind{ID: Sender, Name: "sender", Group: Body, Where: InBodies, Head: HeadName,
			Doc: "Puts a quantity on a wire."}, forms(
			req(SenderAt, "at {pin:pin}", "The pin that it puts it on."),
			req(SenderTells, "tells {quantity:ref quantity}", "The quantity."),
			opt(SenderAccuracy, "accuracy {by:value any difference from-0}", "How far it may be off."),
		)},
	}
}
