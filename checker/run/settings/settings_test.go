package settings

import (
	"context"
	"fmt"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/run/files"
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
tell_tale = "3 W"
unfused_length = "20 cm"
unfused_area = "16 mm2"
sensor_ground = "50 mV"
nodes = 1000
zones = 50
steps = 70
work = 80
time = 90
memory = 100
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
				FuseShare: 70, SprungFuse: 120, SprungWire: 130, TellTale: 3, UnfusedLength: 0.2, UnfusedArea: 16, SensorGround: 0.05,
			},
			Nodes: 1000, Zones: 50, Steps: 70, Work: 80, Time: 90, Memory: 100, Faults: 60,
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
		{"rules = 5\n", `s.toml:1: rules must be a table of texts, not a whole number; write [rules] on a line of its own`},
		{"rules = []\n", `s.toml:1: rules must be a table of texts, not a list`},
		{"[[rules]]\nx = 1\n", `s.toml:1: rules must be a table of texts, not a list of tables`},
		{"limits = \"x\"\n", `s.toml:1: limits must be a table, not a text; write [limits] on a line of its own`},
		{"paths = false\n", `s.toml:1: paths must be a table, not true or false`},
		{"[rules]\nno-feed = 3\n", `s.toml:2: rules.no-feed must be a text in quotes, not a whole number`},
		{"[rules.no-feed]\nx = 3\n", `s.toml:1: rules.no-feed must be a text in quotes, not a table`},
		{"[limits]\nnodes = \"many\"\n", `s.toml:2: limits.nodes must be a whole number, such as 1000, not a text`},
		{"[limits]\nnodes = 1.5\n", `s.toml:2: limits.nodes must be a whole number, such as 1000, not a number with a point`},
		{"[limits]\nnodes = 99999999999999999999\n", `s.toml:2: `},
		{"[limits]\nfuse_share = 2026-01-01\n", `s.toml:2: limits.fuse_share must be a text in quotes, not a date or time`},
		{"[limits]\nwire_amps = [1]\n", `s.toml:2: limits.wire_amps must be a table of texts, not a list`},
		{"[paths]\nleave_out = \"old\"\n", `s.toml:2: paths.leave_out must be a list of texts`},
		{"[paths]\nleave_out = [1, \"x\"]\n", `s.toml:2: an entry of paths.leave_out must be a text in quotes, not a whole number`},
		{"[paths]\nleave_out = [" + strings.Repeat("\"x\", ", 600) + "]\n", `s.toml:2: paths.leave_out has 600 patterns; up to 500`},
		{strings.Repeat("a.", 20000) + "a = 1\n", `s.toml:1: nested more than 16 levels deep`},
		{"# [[[[[[[[[[[[[[[[[[[[\n\nx = " + strings.Repeat("[", 20<<20), `s.toml:3: nested more than 16 levels deep`},
		{"x = '[[[[[[[[[[[[[[[[[[['\ny = " + strings.Repeat("{a=", 50), `s.toml:2: nested more than 16 levels deep`},
		{"[Limits]\nnodes = 5\n", `s.toml:1: "Limits" is written "limits", in small letters`},
		{"[limits]\nNodes = 07:32:00\n", `s.toml:2: "limits.Nodes" is written "limits.nodes"`},
		{"[limits]\nsteps = \"many\"\n", `s.toml:2: limits.steps must be a whole number`},
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

// However much is wrong, what is told of it stays short.
func TestParseTellsTheFirstOfMany(t *testing.T) {
	_, err := Parse("s.toml", strings.Repeat("[rules]\n", 1)+manyLines("r%d = \"off\"\n", 5000), someRules)
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	assert.Len(t, lines, 21)
	assert.Equal(t, "s.toml:1: and 4980 more", lines[20])
}

func manyLines(format string, n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, format, i)
	}
	return b.String()
}

// FuzzParse: any text gives settings or a message in which people find what is wrong, by
// a line of the file, and in no words of the language that Pintle is written in.
func FuzzParse(f *testing.F) {
	for _, text := range []string{
		"", "rules = 5", "[rules]\nsneak-path = \"off\"\n[limits]\nnodes = 5\nwire_amps = { \"1 mm2\" = \"2 A\" }\n[paths]\nleave_out = [\"a\"]\n",
		"a.b.c = [[[1]]]", "x = \"\"\"\n[[\n\"\"\"", "limits.nodes = 1e400", "[limits]\nvoltage_drop_feed = \"3 %\"\n", "[paths]\nleave_out = [[]]", "rules = [{}]",
		"limits = { nodes = 07:32:00 }",
	} {
		f.Add(text)
	}
	goWords := regexp.MustCompile(`interface \{|map\[|int64|float64|\[\]|cannot unmarshal|incompatible types|destination|settings\.`)
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse("s.toml", text, someRules)
		if err == nil {
			require.NotNil(t, s)
			return
		}
		for line := range strings.SplitSeq(err.Error(), "\n") {
			if !goWords.MatchString(text) { // which may be quoted
				assert.NotRegexp(t, goWords, line)
			}
		}
	})
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
	disk := &counted{Files: files.InFS(fsys)}
	f := NewFinder(Search{Files: disk, Rules: someRules})
	find := func(dir string) *Found {
		found, err := f.For(t.Context(), dir)
		require.NoError(t, err)
		return found
	}
	for dir, want := range map[string]int{
		".": DefaultLimits().Nodes, "a": 7, "a/b": 7, "a/b/c": 9, "a/b/c/d": 9, "z/y": DefaultLimits().Nodes,
	} {
		found := find(dir)
		require.NoError(t, found.Wrong)
		assert.Equal(t, want, found.Limits.Nodes, dir)
	}
	before := disk.reads
	assert.Equal(t, "a/b/c", find("a/b/c/d").Dir)
	assert.Equal(t, files.Bounds{"a/b/c"}, find("a/b/c/d").Bounds)
	assert.Equal(t, before, disk.reads, "each folder is looked at once")

	found := find("bad/deeper")
	require.ErrorContains(t, found.Wrong, `bad/pintle.toml:1: there is no setting called "nodes"`)
	assert.Equal(t, DefaultLimits(), found.Limits, "the others go on with the usual ones")
	require.ErrorContains(t, find("dir").Wrong, "dir/pintle.toml:1: the settings can't be read: it is a folder, not a file")
}

// counted counts what is read.
type counted struct {
	files.Files
	reads int
}

func (c *counted) Read(ctx context.Context, in files.Bounds, name string, most int) ([]byte, error) {
	c.reads++
	return c.Files.Read(ctx, in, name, most)
}

// The workspace is the folder of the settings, else of the repository, else one that was
// named, else the folder itself.
func TestWorkspace(t *testing.T) {
	fsys := fstest.MapFS{
		"set/pintle.toml":     {},
		"set/repo/.git/HEAD":  {},
		"repo/.git/HEAD":      {},
		"repo/a/b/x.pintle":   {},
		"plain/a/b/x.pintle":  {},
		"linked/.git":         {Data: []byte("gitdir: elsewhere")},
		"linked/sub/x.pintle": {},
	}
	f := NewFinder(Search{Files: files.InFS(fsys), Folders: []string{".", "plain/a"}, Allow: files.Bounds{"lib"}})
	for dir, want := range map[string]string{
		"set": "set", "set/repo": "set", "set/x/y": "set", "repo/a/b": "repo", "repo": "repo", "linked/sub": "linked",
		"plain/a/b": "plain/a", "plain": "plain", "other/x": "other/x",
	} {
		found, err := f.For(t.Context(), dir)
		require.NoError(t, err)
		assert.Equal(t, files.Bounds{want, "lib"}, found.Bounds, dir)
	}
}

func TestDropOf(t *testing.T) {
	assert.InDelta(t, 0.6, Drop{Percent: 5}.Of(12), 1e-12)
	assert.InDelta(t, 0.3, Drop{Volts: 0.3}.Of(24), 1e-12)
	assert.Equal(t, "5 %", Drop{Percent: 5}.String())
	assert.Equal(t, "300 mV", Drop{Volts: 0.3}.String())
}
