package settings

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/diag"
)

var someRules = []string{"sneak-path", "no-feed", "value-assumed"}

func TestParse(t *testing.T) {
	s, err := Parse("pintle.toml", `
[rules]
sneak-path = "warning"
no-feed = "off"

[limits]
voltage_drop_feed = "3 %"
voltage_drop_ground = "250 mV"
wire_table = "thin-wall"
wire_amps = { "1 mm2" = "12 A", "18 AWG" = "9 A" }
fuse_share = "70 %"
sprung_fuse = "120 %"
sprung_wire = "130 %"
unfused_length = "20 cm"
unfused_area = "16 mm2"
sensor_ground = "50 mV"
nodes = 1000
zones = 50
faults = 60

[paths]
leave_out = ["faulty", "old/*"]
`, someRules)
	require.NoError(t, err)
	assert.Equal(t, &Settings{
		Rules: map[string]diag.Severity{"sneak-path": diag.Warning, "no-feed": diag.Off},
		Limits: Limits{
			FeedDrop: Drop{Percent: 3}, GroundDrop: Drop{Volts: 0.25}, WireTable: "thin-wall",
			Wiring: Wiring{
				WireAmps:  []WireAmps{{Area: 0.82305, Amps: 9}, {Area: 1, Amps: 12}},
				FuseShare: 70, SprungFuse: 120, SprungWire: 130, UnfusedLength: 0.2, UnfusedArea: 16, SensorGround: 0.05,
			},
			Nodes: 1000, Zones: 50, Faults: 60,
		},
		LeaveOut: []string{"faulty", "old/*"},
	}, s)
	assert.Equal(t, diag.Off, s.Severity("no-feed", diag.Error))
	assert.Equal(t, diag.Note, s.Severity("value-assumed", diag.Note))
	assert.True(t, s.Names("no-feed"))
	assert.False(t, s.Names("value-assumed"))
}

func TestEmptyFileSaysNothing(t *testing.T) {
	s, err := Parse("pintle.toml", "# nothing\n", someRules)
	require.NoError(t, err)
	assert.Equal(t, DefaultLimits(), s.Limits)
	assert.Empty(t, s.LeaveOut)
}

func TestParseErrorsNameTheNearest(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"[rules]\nsneek-path = \"off\"\n",
			`s.toml:2: there is no rule called "sneek-path"; the nearest is "sneak-path"`},
		{"[rules]\nsneak-path = \"of\"\n",
			`s.toml:2: "of" is no severity; write "off", "note", "warning" or "error"`},
		{"\n[limit]\nnodes = 1\nzones = 2\n",
			`s.toml:2: there is no setting called "limit"; the nearest is "limits"`},
		{"[limits]\nvoltage_drop_fed = \"3 %\"\n",
			`s.toml:2: there is no setting called "limits.voltage_drop_fed"; the nearest is "limits.voltage_drop_feed"`},
		{"[limits]\nvoltage_drop_feed = \"3 A\"\n",
			`s.toml:2: "3 A" is no bound on lost voltage; write a share such as "3 %" or volts such as "0.5 V"`},
		{"[limits]\nvoltage_drop_ground = \"-3 V\"\n", `"-3 V" is no bound on lost voltage`},
		{"[limits]\nvoltage_drop_ground = 3\n", `s.toml:2: `},
		{"[limits]\nwire_table = \"thinwall\"\n",
			`s.toml:2: there is no wire table called "thinwall"; the nearest is "thin-wall"`},
		{"[limits]\nunfused_length = \"2 V\"\n", `s.toml:2: limits.unfused_length: "2 V" is no length above 0`},
		{"[limits]\nfuse_share = \"0 %\"\n", `s.toml:2: limits.fuse_share: "0 %" is no percentage above 0`},
		{"[limits]\nwire_amps = { \"1 mm2\" = \"2\" }\n", `s.toml:2: limits.wire_amps: "2" is no current above 0`},
		{"[limits]\nwire_amps = { \"1 m\" = \"2 A\" }\n", `s.toml:2: limits.wire_amps: "1 m" is no cross-section above 0`},
		{"[limits]\nnodes = 0\n", `s.toml:2: limits.nodes must be at least 1`},
		{"[paths]\nleave_out = [\"/abs\"]\n", `s.toml:2: "/abs" is no path below this folder`},
		{"[paths]\nleave_out = [\"a[\"]\n", `s.toml:2: "a[" is no path below this folder`},
		{"[paths\n", `s.toml:2: expected`},
		{"nodes = 1\n", `s.toml:1: there is no setting called "nodes"; the nearest is "limits.nodes"`},
		{"colour = \"red\"\n", `s.toml:1: there is no setting called "colour"`},
	} {
		_, err := Parse("s.toml", c.text, someRules)
		if assert.Error(t, err, c.text) {
			assert.Contains(t, err.Error(), c.want)
			assert.Equal(t, 1, strings.Count(err.Error(), "\n")+1, "one mistake, one line: %s", err)
		}
	}
}

func TestParseTellsEverythingThatIsWrong(t *testing.T) {
	_, err := Parse("s.toml", "[rules]\nnofeed = \"off\"\nsneakpath = \"off\"\n[limits]\nzones = -1\n", someRules)
	require.Error(t, err)
	assert.Len(t, strings.Split(err.Error(), "\n"), 3)
}

func TestLeavesOut(t *testing.T) {
	s := &Settings{LeaveOut: []string{"faulty", "old/*", "*/draft.pintle"}}
	for rel, want := range map[string]bool{
		"faulty": true, "faulty/a.pintle": false,
		"old": false, "old/a.pintle": true, "old/x": true, "old/x/a.pintle": false,
		"lamps/draft.pintle": true, "lamps/a.pintle": false, "faulty2/a.pintle": false, ".": false,
	} {
		assert.Equal(t, want, s.LeavesOut(rel), rel)
	}
}

func TestFinderLooksUpward(t *testing.T) {
	fsys := fstest.MapFS{
		"a/pintle.toml":     {Data: []byte("[limits]\nnodes = 7\n")},
		"a/b/c/pintle.toml": {Data: []byte("[limits]\nnodes = 9\n")},
		"bad/pintle.toml":   {Data: []byte("nodes = 9\n")},
		"dir/pintle.toml/x": {Data: nil},
	}
	reads := 0
	f := NewFinder(func(p string) ([]byte, error) { reads++; return fs.ReadFile(fsys, p) }, someRules)
	for dir, want := range map[string]int{
		".": DefaultLimits().Nodes, "a": 7, "a/b": 7, "a/b/c": 9, "a/b/c/d": 9, "z/y": DefaultLimits().Nodes,
	} {
		s, err := f.For(dir)
		require.NoError(t, err)
		assert.Equal(t, want, s.Limits.Nodes, dir)
	}
	before := reads
	s, err := f.For("a/b/c/d")
	require.NoError(t, err)
	assert.Equal(t, "a/b/c", s.Dir)
	assert.Equal(t, before, reads, "each folder is looked at once")

	_, err = f.For("bad/deeper")
	assert.ErrorContains(t, err, `bad/pintle.toml:1: there is no setting called "nodes"`)
	_, err = f.For("dir")
	assert.ErrorContains(t, err, "the settings can't be read")
}

func TestDropOf(t *testing.T) {
	assert.InDelta(t, 0.6, Drop{Percent: 5}.Of(12), 1e-12)
	assert.InDelta(t, 0.3, Drop{Volts: 0.3}.Of(24), 1e-12)
	assert.Equal(t, "5 %", Drop{Percent: 5}.String())
	assert.Equal(t, "300 mV", Drop{Volts: 0.3}.String())
}
