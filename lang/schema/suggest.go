package schema

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"pintle/lang/spelling"
)

// Suggest names the kind that was probably meant by a word that is none, among
// those that may stand in the context; "" if nothing is near.
func Suggest(word string, in Context) string {
	// In capitals, or several of them: `Wire`, `fuses`.
	for _, w := range []string{strings.ToLower(word), strings.TrimSuffix(strings.ToLower(word), "s")} {
		if k, ok := Lookup(w, in); ok && w != word {
			return k.Name
		}
	}
	return spelling.Best(word, func(yield func(string) bool) {
		for _, k := range All() {
			if k.Where&in != 0 && !yield(k.Name) {
				return
			}
		}
	})
}

// meant are words of the trade that are no kinds, with what says them here.
var meant = map[string]string{
	"battery": "supply", "alternator": "supply", "source": "supply", "earth": "ground", "cable": "wire", "lead": "wire",
	"plug": "connector", "socket": "connector", "sensor": "sender", "output": "driver", "pipe": "hose", "vacuum": "origin",
	"variant": "option", "include": "use", "import": "use", "terminal": "pin", "junction": "splice", "busbar": "node",
	"gnd": "ground", "mass": "ground", "line": "wire", "net": "node", "bus": "node", "point": "node", "stud": "node",
	"probe": "sender", "signal": "condition", "flag": "condition", "define": "condition", "let": "condition", "delay": "timer",
	"flasher": "beat", "blinker": "beat", "clock": "beat", "pulse": "beat", "hysteresis": "threshold", "comparator": "threshold",
	"key": "setting", "lever": "setting", "knob": "setting", "button": "setting", "pedal": "setting", "door": "setting",
	"resistance": "resistor", "winding": "coil", "diodes": "diode", "transition": "from", "machine": "modes", "table": "result",
	"assert": "require", "claim": "require", "ensure": "require", "check": "require", "must": "require", "property": "require", "invariant": "require",
	"assumption": "assume", "suppose": "assume", "name": "title", "design": "title", "project": "title", "template": "part", "type": "part",
	"class": "part", "def": "part", "instance": "fit", "unit": "fit", "box": "fit", "ecu": "fit", "variants": "option",
	"test": "drive", "scenario": "drive", "state": "mode", "variable": "quantity",
	"relay": "fit", "switch": "fit", "lamp": "fit", "bulb": "fit", "motor": "fit", "solenoid": "fit", "valve": "fit",
	"controller": "fit", "module": "fit", "component": "fit",
}

// MeantKind is the kind that a word of the trade is said with; "" where there is none.
func MeantKind(word string) string { return meant[strings.ToLower(word)] }

// Meant helps with a word of the trade that is no kind; "" where there is none.
func Meant(word string) string {
	kind := MeantKind(word)
	if kind == "" {
		return ""
	}
	return "that is said with `" + kind + "`: " + Clipped(Named(kind)[0].Doc)
}

// Clipped makes a sentence of the table a piece of another one: without its capital and
// its full stop.
func Clipped(sentence string) string {
	s := strings.TrimSuffix(sentence, ".")
	first, size := utf8.DecodeRuneInString(s)
	// A word in capitals stays as it is.
	if second, _ := utf8.DecodeRuneInString(s[size:]); size > 0 && !unicode.IsUpper(second) {
		s = string(unicode.ToLower(first)) + s[size:]
	}
	return s
}

// SuggestColour names the colour that was probably meant by a word that is none; "" if
// nothing is near.
func SuggestColour(word string) string {
	return spelling.Best(word, slices.Values(colours))
}

// Suggest finds the form whose first words are nearest to what was written, or nil.
// It asks for one word in common or nearly so: a guess that is far off helps nobody.
func (k *Kind) Suggest(written []string) *Form {
	var best *Form
	bestAt := 1 << 30
	for _, f := range k.Forms {
		words := strings.Fields(f.literal())
		if len(words) == 0 || len(written) == 0 {
			continue
		}
		n := min(len(words), len(written))
		at := 2 * (len(words) - n) // each word that is left out
		similar := false
		for i := range n {
			d := spelling.Distance(written[i], words[i])
			similar = similar || d <= len(words[i])/3
			at += min(d, 3)
		}
		if similar && at < bestAt {
			best, bestAt = f, at
		}
	}
	return best
}
