package syntax

import (
	"strings"

	"pintle/lang/schema"
)

// habit is how people say something who come from everyday English, from the trade or from
// another language, with what is written here.
type habit struct {
	words []string // A, B and C stand for one name or number each, N for a number
	to    string   // what is written instead, with $A for what stood at A; or note
	in    []schema.ID
	twice bool   // it may be what makes one clause two
	says  string // the message, where the usual one would not do
	why   string // what helps besides
}

// note is a habit of which nothing can be made without knowing more.
const note = "\x00"

// habits are tried in this order where a text was not understood; what is offered has been
// read without a finding.
var habits = makeHabits()

func makeHabits() []habit {
	var out []habit
	add := func(in []schema.ID, why string, pairs ...string) {
		for i := 0; i < len(pairs); i += 2 {
			out = append(out, habit{words: strings.Fields(pairs[i]), to: pairs[i+1], in: in, why: why})
		}
	}
	in := func(ids ...schema.ID) []schema.ID { return ids }

	// Comments and ends of lines.
	add(nil, "a comment begins with `#`", "/ /", "#", "/ *", "#", "- -", "#")
	add(nil, "a line ends by itself", ";", "")
	add(nil, "clauses are parted by commas", ";", ",")
	add(nil, "", ";", ":")
	add(nil, "", "+ / -", "+-", ". .", "to", "[", "(", "]", ")", "@", "at", "A DC", "$A")

	// Comparisons, states and connectives, from the longest to the shortest.
	add(nil, "", "is greater than", "above", "is more than", "above", "is higher than", "above", "is less than", "below",
		"is lower than", "below", "is not above", "at most", "is not below", "at least", "is at least", "at least", "is at most", "at most",
		"greater than", "above", "more than", "above", "higher than", "above", "less than", "below", "lower than", "below",
		"is above", "above", "is over", "above", "is below", "below", "is under", "below", "is between", "between",
		"is > =", "at least", "exceeds", "above", "= <", "at most")
	add(nil, "", ">", "above", "<", "below", ">=", "at least", "<=", "at most", "≥", "at least", "≤", "at most",
		"==", "is", "!=", "is not", "<>", "is not", "≠", "is not", "&&", "and", "&", "and", "||", "or", "|", "or", "!", "not",
		"=", "is", "=", "", "=", ":", "=>", "at least", "->", "to", "=>", "to", "→", "to", "–", "to", "—", "to", "-", "to", "- -", "to")
	add(nil, "a quantity is hardly ever at one value: compare it by `above`, `below`, `at least`, `at most` or `between`", "= N", note, "== N", note)
	add(nil, "", "A is neither B nor C", "not $A is any of $B, $C", "is either A or B", "is any of $A, $B", "is one of", "is any of",
		"is any of A or B", "is any of $A, $B",
		"A is not any of", "not $A is any of", "A is not one of", "not $A is any of", "A isn ' t", "$A is not", "A isn’t", "$A is not",
		"A isn ’ t", "$A is not", "isnt", "is not", "is equal to", "is", "is equal", "is", "equals", "is",
		"must be", "is", "should be", "is", "shall be", "is", "will be", "is", "has to be", "is", "must not be", "is not",
		"becomes", "is", "are", "is", "was", "is", "gets", "is", "remains", "is",
		", and", "and", ", or", "or", ", but", "and", "but", "and")
	add(nil, "", "is A , B or C", "is any of $A, $B, $C")
	out[len(out)-1].twice = true
	add(nil, "", "for at least", "for", "for more than", "for", "within the last", "in the last", "during the last", "in the last",
		"in last", "in the last", "over the last", "in the last")
	add(nil, "", "as long as", "while", "so long as", "while", "during", "while", "only when", "when", "only if", "when", "only while", "while",
		"if", "when", "if", "while", "when", "while", "while", "when", "provided", "while", "provided that", "while")
	add(nil, "", "over", "above", "under", "below")
	add(nil, "", "volts of A", "volts at $A", "voltage at A", "volts at $A", "voltage of A", "volts at $A", "volts A", "volts at $A", "voltage A", "volts at $A", "volts between A and B", "volts $A to $B",
		"current in A", "current through $A", "current of A", "current through $A", "amps through A", "current through $A", "current A", "current through $A")

	// Lists of names.
	lists := in(schema.Setting, schema.Option, schema.Node, schema.Pin, schema.Port, schema.Splice, schema.Mode, schema.Shows,
		schema.Connector, schema.ChartRow, schema.Step, schema.Accept, schema.Fit, schema.From)
	add(lists, "", ", and", ",", "and", ",", "or", ",", "/", ",", "|", ",")

	require := in(schema.Require)
	add(require, "the condition in which it must hold stands behind `whenever`", ", whenever", "whenever", ", when", "whenever", ", if", "whenever",
		"as long as", "whenever", "as soon as", "whenever", "provided that", "whenever", "provided", "whenever", "given that", "whenever", "given", "whenever",
		"every time", "whenever", "each time", "whenever", "when", "whenever", "if", "whenever", "while", "whenever", "after", "whenever", "once", "whenever", "where", "whenever")
	add(require, "", ", within", "within", "in", "within", "no later than", "within", "at the latest", "within",
		"it is possible that", "possible", "can", "possible", "possibly", "possible", "eventually", "possible", "sometimes", "possible", "no", "never",
		"despite any fault", "despite any one fault", "despite one fault", "despite any one fault", "despite any single fault", "despite any one fault",
		"despite faults", "despite any one fault", "with any one fault", "despite any one fault", "separate", "apart", "isolated", "apart")
	add(require, "things can't be counted; write `every`, `any`, or name them: `lamp.1.bulb is lit and not lamp.2.bulb is lit`",
		"count of", note, "number of", note, "exactly", note, "at least A of", note)
	add(require, "how long it may take is said by `within`, how long something lasted by `for`: `lamp is lit whenever (key is run for 2 s)`", "until", note, "before", note)

	contact := in(schema.Contact)
	add(contact, "it is closed when its coil is pulled in; `break` is the other form", "normally open", "make", "normally opened", "make", "n / o", "make", "n.o .", "make", "n.o", "make", "no", "make", "makes", "make", "closing", "make")
	add(contact, "it is closed when its coil is let go; `make` is the other form", "normally closed", "break", "n / c", "break", "n.c .", "break", "n.c", "break", "nc", "break", "breaks", "break", "opening", "break")
	add(contact, "it says when the contact is closed", "closes when", "made when", "closed when", "made when", "closes while", "made when", "closed while", "made when",
		"closes if", "made when", "closed if", "made when", "made while", "made when", "made if", "made when", "makes when", "made when", "on when", "made when",
		"when", "made when", "while", "made when", "if", "made when")
	add(contact, "`made when` says when the contact is closed; put parentheses around more than one condition",
		"open when", "made when not", "opens when", "made when not", "opens if", "made when not", "open while", "made when not", "broken when", "made when not", "off when", "made when not")
	add(contact, "", "moved by", "by", "driven by", "by", "operated by", "by", "actuated by", "by", "max .", "up to", "max", "up to", "maximum", "up to", "limit", "up to")

	add(in(schema.Load), "a level is reached from some share of the rated volts on", "when above", "from", "at least", "from", "above", "from", "over", "from", "at", "from", "> =", "from", ">=", "from", ">", "from", "≥", "from")
	add(in(schema.Coil), "", "pulls in above", "pulls in at", "pulls in from", "pulls in at", "picks up at", "pulls in at", "energises at", "pulls in at", "operates at", "pulls in at", "pulls at", "pulls in at",
		"drops out below", "drops out at", "drops below", "drops out at", "drops at", "drops out at", "releases at", "drops out at", "lets go at", "drops out at")
	add(in(schema.Coil, schema.Resistor, schema.Load), "", "tolerance A %", "+-$A %", ", +-", " +-", "ohm A %", "ohm +-$A %")
	add(in(schema.Resistor), "one that is set to a position is a `chart` between resistors, one that follows a quantity a `sender`", "to", note)
	add(in(schema.Fuse), "a fuse has its ends and its rating: `fuse F1: A to B, 10 A`", "slow", note, "fast", note, "quick", note, "blade", note, "delayed", note, "fast-blow", note, "slow-blow", note, "time-delay", note)
	add(in(schema.Resistor), "what a resistor can stand is not described; leave it out", ", N W", note)
	add(in(schema.Coil), "a coil has no rated volts: say at which it pulls in, `pulls in at 8 V`", ", N V", note)
	add(in(schema.Part), "what a part is given is said in its body: `takes rating: A`", "(", note)
	add(in(schema.Diode), "a diode has its ends, anode first, and its `drop`: `diode D1: A to B, drop 0.7 V`", "A", note)

	add(in(schema.Supply), "", "minus A , plus B", "from $A to $B", "plus A , minus B", "from $B to $A", "negative A , positive B", "from $A to $B", "positive A , negative B", "from $B to $A",
		"ranges between", "anywhere between", "somewhere between", "anywhere between", "varies between", "anywhere between", "between", "anywhere between", "range", "anywhere between", "one-way", "one way", "oneway", "one way",
		"A B inside", "inside $A $B", "internal resistance", "inside", "internal", "inside", "resistance", "inside", "present while", "while", "present when", "while", "only while", "while")
	add(in(schema.Passage), "", "open when", "passes when", "opens when", "passes when", "open while", "passes when", "passes while", "passes when", "passes if", "passes when", "one-way", "one way", "oneway", "one way",
		"opened when", "passes when", "when", "passes when", "while", "passes when")
	add(in(schema.Origin), "", "present while", "present when", "present if", "present when", "while", "present when", "when", "present when", "if", "present when")

	add(in(schema.Wire), "", "A mm", "$A mm2")
	out[len(out)-1].twice = true
	out[len(out)-1].says, out[len(out)-1].why = "$0 is a length, and there are two of them", "write `mm2` if it is the cross-section"
	add(in(schema.Wire), "", "A mm 2", "$A mm2", "A mm ^ 2", "$A mm2", "A sq mm", "$A mm2", "A mm sq", "$A mm2", "A square mm", "$A mm2")
	add(in(schema.Wire), "", "awg A", "$A AWG", "gauge A", "$A AWG", "size A", "$A AWG")
	add(in(schema.Connector), "", "ways", "way", "pins", "way", "pin", "way", "pole", "way", "poles", "way", "position", "way", "contacts", "way",
		"mates with", "plugs onto", "plugs into", "plugs onto", "connects to", "plugs onto", "near", "in reach of", "within reach of", "in reach of")
	add(in(schema.Fit, schema.Bench), "what a part takes is named, and its value follows", ":", "")
	add(in(schema.Fit), "", "x", "of", "×", "of", "*", "of", "times", "of", "pieces of", "of", "instances of", "of")

	add(in(schema.Quantity), "", "initially", "starts at", "initial", "starts at", "default", "starts at", "begins at", "starts at", "between A and B", "$A to $B", "from A to B", "$A to $B",
		"per second", "per s", "per sec", "per s", "per minute", "per min", "/ s", " per s", "/ min", " per min", "rate", "changes at most", "max rate", "changes at most", "at most", "changes at most")
	add(in(schema.Quantity), "a quantity is one that moves evenly; what is put in positions is a `setting`", "on", note, "off", note)
	add(in(schema.Setting), "", "initially", "starts at", "initial", "starts at", "default", "starts at", "begins at", "starts at", "in sequence", "in order", "ordered", "in order", "returns from", "springs back from", "spring-loaded from", "springs back from")
	add(in(schema.Setting), "write `springs back from A to B`", "momentary", note, "returns to", note)
	add(in(schema.Modes), "", "initial", "starts in", "initially", "starts in", "starts at", "starts in", "start in", "starts in", "start", "starts in", "begins in", "starts in")
	add(in(schema.From), "a transition has no delay of its own: let a timer run in the mode that is left, or write `when (key is run for 5 s)`", "after", note)
	add(in(schema.Bands), "", "of", "over", "on", "over", "for", "over")
	add(in(schema.ResultRow, schema.TimerRow), "", "else", "otherwise", "default", "otherwise", "in all other cases", "otherwise", "all other cases", "otherwise")
	add(in(schema.ChartRow), "a row that joins nothing says so", "nothing", "open", "none", "open", "off", "open", "-", "open")

	add(in(schema.Threshold), "", "set at", "sets at", "set above", "sets above", "set below", "sets below", "clear at", "clears at", "clear below", "clears below", "clear above", "clears above", "on above", "sets above", "on at", "sets at", "on below", "sets below", "off below", "clears below", "off at", "clears at", "off above", "clears above",
		"switches on at", "sets at", "switches on above", "sets above", "switches off at", "clears at", "switches off below", "clears below",
		"true above", "sets above", "true below", "sets below", "false below", "clears below", "false above", "clears above",
		"resets below", "clears below", "resets at", "clears at", "resets above", "clears above", "reset below", "clears below", "reset at", "clears at", "of A ,", "$A,")
	add(in(schema.Timer), "", "lasts for", "lasts", "duration", "lasts", "delay", "lasts", "time", "lasts", "for", "lasts", "takes", "lasts", "runs when", "runs while", "runs if", "runs while",
		"starts while", "starts when", "starts if", "starts when", "stops while", "stops when", "stops if", "stops when", "resets when", "stops when", "while", "runs while", "when", "starts when")
	add(in(schema.Driver), "", "grounds", "earths", "grounding", "earths", "sinks", "earths", "pulls A to", "earths $A to", "powers", "feeds", "sources", "feeds", "on when", "when", "max", "up to", "maximum", "up to")
	add(in(schema.Input), "", "reads voltage", "reads volts", "reads a voltage", "reads volts", "reads a sender", "reads sender", "reads sensor", "reads sender", "reads a switch", "reads volts", "reads switch", "reads volts",
		"pull up", "pulled up", "pull-up", "pulled up", "pullup", "pulled up", "pull down", "pulled down", "pull-down", "pulled down", "pulldown", "pulled down",
		"low under", "low below", "low at", "low below", "high over", "high above", "high at", "high above", "when disconnected", "while disconnected", "if disconnected", "while disconnected", "when open", "while disconnected", "on", "at", "pin", "at")
	add(in(schema.Powered), "", "works above", "works from", "works at", "works from", "needs", "works from", "from", "works from", "above", "works from", "consumes", "draws", "takes", "draws", "uses", "draws")

	step := in(schema.Step)
	add(step, "", "set A to", "set $A", "set A =", "set $A", "set A :", "set $A", "set A is", "set $A", "set A at", "set $A", "turn", "set", "put", "set", "switch", "set", "move", "set", "change", "set", "expect", "see", "expect that", "see", "check", "see", "check that", "see",
		"assert", "see", "verify", "see", "observe", "see", "see that", "see", "wait for", "wait", "pause", "wait", "after", "wait", "wait A seconds", "wait $A s",
		"repair", "mend", "fix", "mend", "restore", "mend", "exchange", "swap", "swap A and", "swap $A with",
		"ramp A from B C to", "ramp $A to", "ramp A from B to", "ramp $A to", "in", "over", "within", "over", "during", "over", "for", "over",
		"at the end", "at end", "all the time", "throughout", "the whole time", "throughout", "always", "throughout", "all along", "throughout",
		"break A", "fail $A open", "cut A", "fail $A open", "disconnect A", "fail $A off", "unplug A", "fail $A off", "short A to ground", "fail $A to ground",
		"fails", "fail", "broken", "open", "to earth", "to ground", "grounded", "to ground", "to plus", "to feed", "to battery", "to feed", "short", "shorted", "stuck closed", "stuck made", "stuck broken", "stuck open", "closed", "stuck made")
	add(step, "a step waits a time: `wait 2 s`; `see COND once COND` looks from a moment on", "until", note)
	add(in(schema.Fault), "", "broken", "open", "to earth", "to ground", "to plus", "to feed", "short", "shorted", "stuck closed", "stuck made", "stuck broken", "stuck open", "swap A and", "swap $A with")

	add(in(schema.Assume), "", "only when", "only while", "only if", "only while", "can only fall while", "falls only while", "can only rise while", "rises only while",
		"decreases only", "falls only", "increases only", "rises only", "drops only", "falls only", "moves to A while", "moves to $A only while", "falls while", "falls only while", "rises while", "rises only while")
	add(in(schema.Accept), "", "for", "on", "at", "on", "in", "on", "reason", "because", "since", "because", "as", "because", "till", "until", "before", "until")
	return out
}
