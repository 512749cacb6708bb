package elaborate_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
)

// What people write who come from the trade, from everyday English or from another language:
// the finding says what is written here, and the fix writes it.
func TestMeant(t *testing.T) {
	const head = `quantity n: 0 to 7000 rpm
quantity m: 0 to 7000 rpm
setting key: off, run, crank
ground chassis
node feed, a
supply pack: 48 V, from minus to plus
wire W0: feed to a
threshold fast: n, sets above 3000 rpm, clears below 2000 rpm
condition ready: key is run
load lamp: a to chassis, 5 W at 12 V, lit from 60 %
load other: a to chassis, 5 W at 12 V, glows from 15 %, lit from 60 %
timer late: runs while ready, lasts 3 s
contact c: feed to a, make, made when ready
part Bulb {
    pin 1, 2
}
modes m1: starts in idle {
    mode idle, busy
    from idle to busy: when ready
}
`
	for _, test := range []struct{ line, message, help, fixed string }{
		{"condition x: key is run or crank", "`crank` is a position of `key`, and no condition by itself", "write `key is any of run, crank`", "condition x: key is any of run, crank"},
		{"condition x: key is not off and crank", "`crank` is a position of `key`", "write `not key is any of off, crank`", "condition x: not key is any of off, crank"},
		{"condition x: key is any of off, run and crank", "`crank` is a position of `key`", "", "condition x: key is any of off, run, crank"},
		{"condition x: m1 is idle or busy", "`busy` is a mode of `m1`", "", "condition x: m1 is any of idle, busy"},
		{"condition x: key is run or crunk", "`crunk` is not known here", "", ""},
		{"condition x: n above m", "a value is expected here, and `m` is a quantity", "two quantities can't be compared", ""},
		{"condition x: fast is true", "nothing can be asked of `fast`", "write `fast`", "condition x: fast"},
		{"condition x: fast is off", "nothing can be asked of `fast`", "write `not fast`", "condition x: not fast"},
		{"condition x: ready is not true", "nothing can be asked of `ready`", "write `not ready`", "condition x: not ready"},
		{"condition x: lamp is on", "`lamp` is a load and can't be `on`", "write `lamp is lit`", "condition x: lamp is lit"},
		{"condition x: lamp is off", "`lamp` is a load and can't be `off`", "write `lamp is not lit`", "condition x: lamp is not lit"},
		{"condition x: other is on", "`other` is a load and can't be `on`", "it can be `glows` and `lit`", ""},
		{"condition x: c is closed", "`c` is a contact and can't be `closed`", "did you mean `made`?", "condition x: c is made"},
		{"condition x: c is broken", "`c` is a contact and can't be `broken`", "did you mean `open`?", "condition x: c is open"},
		{"condition x: late is over", "`late` is a timer and can't be `over`", "did you mean `done`?", "condition x: late is done"},
		{"condition x: a is powered", "`a` is a node and can't be `powered`", "did you mean `live`?", "condition x: a is live"},
		{"condition x: KEY is run", "`KEY` is not known here", "did you mean `key`?", "condition x: key is run"},
		{"condition x: ready or true", "`true` is not known here", "a condition is true by itself", "condition x: ready or always"},
		{"wire W1: a to ground", "`ground` is not known here", "that is the ground of this design", "wire W1: a to chassis"},
		{"wire W1: a to minus", "`minus` is not known here", "that is a terminal of pack", "wire W1: a to pack.minus"},
		{"wire W1: a to Earth", "`Earth` is not known here", "that is the ground of this design", "wire W1: a to chassis"},
		{"wire W1: a to chassis, blue-white", "`blue-white` is not known here", "the stripe behind `/`", "wire W1: a to chassis, blue/white"},
		{"wire W1: a to chassis, BK", "`BK` is not known here", "colours are written out", "wire W1: a to chassis, black"},
		{"wire W1: a to chassis, darkgreen", "`darkgreen` is not known here", "", "wire W1: a to chassis, dark green"},
		{"wire W1: a to chassis, AWG14", "`AWG14` is not known here", "the number comes first", "wire W1: a to chassis, 14 AWG"},
		{"contact d: feed to a, NO, made when ready", "`NO` is not known here", "`make` is closed when", "contact d: feed to a, make, made when ready"},
		{"contact d: feed to a, normally_closed, made when ready", "`normally_closed` is not known here", "", "contact d: feed to a, break, made when ready"},
		{"fit x: Relay", "`Relay` is not known here", "a `fit` puts a `part` in place", ""},
		{"fit x: bulb", "`bulb` is not known here", "", "fit x: Bulb"},
		{"drive d { step: set n 3000 }", "`3000` needs a unit here", "write `set n 3000 rpm`", "drive d { step: set n 3000 rpm }"},
	} {
		r := elaborated(t, map[string]string{"a.pintle": head + test.line + "\n"}, "a.pintle")
		require.Empty(t, r.Files[0].Findings, test.line)
		at := -1
		for i, f := range r.Findings {
			if strings.Contains(f.Message, test.message) {
				at = i
			}
		}
		if !assert.GreaterOrEqual(t, at, 0, "%s: %v", test.line, r.Findings) {
			continue
		}
		f := r.Findings[at]
		assert.Contains(t, f.Help, test.help, test.line)
		if test.fixed == "" {
			assert.Empty(t, f.Fixes, test.line)
			continue
		}
		require.Len(t, f.Fixes, 1, test.line)
		assert.Equal(t, test.fixed, strings.TrimSpace(applied(f.Fixes[0].Edits[0])[len(head):]))
	}
}

func applied(e diag.Edit) string {
	return e.File.Text[:e.Start] + e.New + e.File.Text[e.End:]
}
