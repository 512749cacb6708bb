package elaborate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const optionalPart = `option market: home, export
option seats: two, four
option trim: plain, rich
part Switch {
    takes key: setting
    pin 1, 2
    only when market is export {
        resistor extra: 1 to 2, 100 ohm
        only when seats is four {
            resistor more: 1 to 2, 100 ohm
            wire lost: 1 to nowhere
        }
    }
    contact blade: 1 to 2, make, made when key is run
    bench own: with key lever {
        setting lever: off, run
        ground g
        wire W: 1 to nothing
    }
}
part Plain {
    pin 1, 2
    bench own: {
        ground g
    }
}
`

// A bench is built in the combinations of those options that affect it, an option
// that comes in under another one too; findings tell in which.
func TestBenchesInAllOptions(t *testing.T) {
	r := elaborated(t, map[string]string{"a.pintle": optionalPart}, "a.pintle")
	var names []string
	for _, d := range r.Designs {
		assert.True(t, d.Bench)
		names = append(names, d.Name)
		sound(t, d)
	}
	assert.Equal(t, []string{
		"bench Switch.own with market home, seats two", "bench Switch.own with market home, seats four",
		"bench Switch.own with market export, seats two", "bench Switch.own with market export, seats four",
		"bench Plain.own",
	}, names)
	counts := make([]int, 4)
	for i := range counts {
		counts[i] = len(r.Designs[i].Resistors)
	}
	assert.Equal(t, []int{0, 0, 1, 2}, counts)
	require.Len(t, r.Findings, 2)
	assert.Equal(t, "bench Switch.own with market export, seats four", r.Findings[0].Where, "only there")
	assert.Empty(t, r.Findings[1].Where, "in all of them")
}

// Options that only the design around a part turns on do not multiply its benches.
func TestBenchesWithoutOptions(t *testing.T) {
	r := elaborated(t, map[string]string{"a.pintle": `option market: home, export
ground g
only when market is export {
    node n
}
part Plain {
    pin 1, 2
    bench own: {
        ground g
    }
}
fit x: Plain
`}, "a.pintle")
	require.Empty(t, r.Findings)
	require.Len(t, r.Designs, 3)
	assert.Equal(t, "bench Plain.own", r.Designs[2].Name)
}

// A position that a part asks a setting for, which it takes, is a use of that position.
func TestPositionsThroughArguments(t *testing.T) {
	r := elaborated(t, map[string]string{"a.pintle": `setting ignition: off, acc, run
part Switch {
    takes key: setting
    pin 1, 2
    contact blade: 1 to 2, make, made when key is run
    chart rest: follows key {
        row acc: 1 to 2
    }
}
fit x: Switch(key ignition)
`}, "a.pintle")
	require.Empty(t, r.Findings)
	uses := map[string]int{}
	for _, d := range r.Index.Definitions(r.Files[0].Src) {
		uses[d.Path()] += len(r.Index.UsesOf(d))
	}
	assert.Equal(t, 1, uses["ignition.run"])
	assert.Equal(t, 1, uses["ignition.acc"])
	assert.Zero(t, uses["ignition.off"])
}
