package elaborate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A name that is behind a dot of something seen is suggested with what leads there, and the
// fix leaves nothing unknown.
func TestSuggestedBehindADot(t *testing.T) {
	lib := "part Relay {\n    pin 1, 2\n}\nnode stud\n"
	for _, test := range []struct{ text, best string }{
		{"use \"lib.pintle\" as lib\nfit K1: Relay\n", "lib.Relay"},
		{"use \"lib.pintle\" as lib\nnode x\nwire W1: stud to x\n", "lib.stud"},
		{"ground g\nsupply b: 12 V, from g to plus\nnode x\nwire W1: plus to x\n", "b.plus"},
		{"use \"lib.pintle\" as lib\npart Box {\n    pin 1\n    fit inner: Relay\n}\n", "lib.Relay"},
		// One of two: nobody knows which.
		{"ground g\nsupply b: 12 V, from g to plus\nsupply c: 12 V, from g to plus\nnode x\nwire W1: plus to x\n", ""},
		// A part does not see what stands at the top level of a file.
		{"use \"lib.pintle\" as lib\npart Box {\n    pin 1\n    wire W1: 1 to stud\n}\n", ""},
	} {
		files := map[string]string{"a.pintle": test.text, "lib.pintle": lib}
		r := elaborated(t, files, "a.pintle")
		require.Len(t, r.Findings, 1, test.text)
		f := r.Findings[0]
		if test.best == "" {
			assert.Empty(t, f.Fixes, test.text)
			continue
		}
		require.Len(t, f.Fixes, 1, test.text)
		e := f.Fixes[0].Edits[0]
		assert.Equal(t, test.best, e.New)
		files["a.pintle"] = test.text[:e.Start] + e.New + test.text[e.End:]
		assert.Empty(t, elaborated(t, files, "a.pintle").Findings, files["a.pintle"])
	}
}

// What an argument is a difference for is decided where it is used: one of 2 degC is an
// accuracy of 2 degC, also where the quantity is in degF, and a gauge pressure's is a
// pressure difference.
func TestArgumentsThatAreDifferences(t *testing.T) {
	r := elaborated(t, map[string]string{"a.pintle": `part Sender {
    takes what: quantity
    takes off: degC
    takes rise: degC, 5 degC unless said
    pin 1
    sender s: at 1, tells what, accuracy off
    quantity inner: 0 to 100 degF, changes at most rise per s
}
part Gauge {
    takes what: quantity
    takes off: bar
    pin 1
    sender s: at 1, tells what, accuracy off
}
quantity coolant: -40 to 302 degF
quantity boost: -1 to 2 bar gauge
fit a: Sender(what coolant, off 2 degC)
fit b: Gauge(what boost, off 0.1 bar)
fit c: Sender(what coolant, off 9 degF)
`}, "a.pintle")
	require.Empty(t, r.Findings)
	d := r.Designs[0]
	accuracy := map[string]string{}
	for _, s := range d.Senders {
		require.True(t, s.HasAccuracy, s.Path)
		assert.True(t, s.Accuracy.Difference, s.Path)
		accuracy[s.Path] = s.Accuracy.String()
	}
	assert.Equal(t, map[string]string{"a.s": "2 degC", "b.s": "0.1 bar", "c.s": "9 degF"}, accuracy)
	for _, q := range d.Quantities {
		if q.Name == "inner" {
			assert.InDelta(t, 5, q.Rate, 1e-12, "kelvin a second, whatever the scale of the range")
		}
	}
	assert.InDelta(t, 5, d.Senders[2].Accuracy.Float64(), 1e-12, "9 degF of difference are 5 K")
}
