package report

import (
	"encoding/csv"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/engine/scenario"
	"pintle/checker/run"
)

// dump is a four-state value change dump, read by the grammar of IEEE 1364-2005, 18.2 (from
// memory of the standard's text): declaration commands, then simulation commands, all divided by
// white space.
type dump struct {
	nanoseconds float64           // of a unit of time
	code        map[string]string // by the path of a variable, with dots
	size        map[string]int    // by code; 64 of a real
	real        map[string]bool   // by code
	times       []int64
	values      []map[string]string // at each time, by code: a number, or bits as long as the variable
}

var (
	simpleIdentifier  = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_$]*$`)
	escapedIdentifier = regexp.MustCompile(`^\\[!-~]+$`)
	identifierCode    = regexp.MustCompile(`^[!-~]+$`)
	realNumber        = regexp.MustCompile(`^[-+]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)
)

func readDump(text string) (*dump, error) {
	d := &dump{code: map[string]string{}, size: map[string]int{}, real: map[string]bool{}}
	words := strings.Fields(text)
	next := func() string {
		if len(words) == 0 {
			return ""
		}
		w := words[0]
		words = words[1:]
		return w
	}
	section := func() (in []string, err error) {
		for {
			switch w := next(); {
			case w == "$end":
				return in, nil
			case w == "" || strings.HasPrefix(w, "$"):
				return nil, fmt.Errorf("a section ends with %q", w)
			default:
				in = append(in, w)
			}
		}
	}
	var scopes []string
	declared := map[string]bool{}
	for done := false; !done; {
		word := next()
		in, err := section()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", word, err)
		}
		switch word {
		case "$comment", "$date", "$version":
		case "$timescale":
			per := map[string]float64{"s": 1e9, "ms": 1e6, "us": 1e3, "ns": 1, "ps": 1e-3, "fs": 1e-6}
			n, err := strconv.ParseFloat(in[0], 64)
			if err != nil || n != 1 && n != 10 && n != 100 || per[in[1]] == 0 || len(in) != 2 {
				return nil, fmt.Errorf("timescale %q", in)
			}
			d.nanoseconds = n * per[in[1]]
		case "$scope":
			if len(in) != 2 || !slices.Contains([]string{"begin", "fork", "function", "module", "task"}, in[0]) || !simpleIdentifier.MatchString(in[1]) && !escapedIdentifier.MatchString(in[1]) {
				return nil, fmt.Errorf("scope %q", in)
			}
			scopes = append(scopes, strings.TrimPrefix(in[1], `\`))
			if path := strings.Join(scopes, "."); declared[path] {
				return nil, fmt.Errorf("%s is declared twice", path)
			} else {
				declared[path] = true
			}
		case "$upscope":
			if len(scopes) == 0 || len(in) > 0 {
				return nil, fmt.Errorf("upscope from %q", scopes)
			}
			scopes = scopes[:len(scopes)-1]
		case "$var":
			if err := d.declare(in, scopes, declared); err != nil {
				return nil, err
			}
		case "$enddefinitions":
			done = true
		default:
			return nil, fmt.Errorf("%q is no declaration", word)
		}
	}
	if len(scopes) > 0 {
		return nil, fmt.Errorf("scope %q is left open", scopes)
	}
	return d, d.simulate(words)
}

func (d *dump) declare(in, scopes []string, declared map[string]bool) error {
	if len(in) < 4 || len(in) > 5 || in[0] != "wire" && in[0] != "real" || !identifierCode.MatchString(in[2]) {
		return fmt.Errorf("var %q", in)
	}
	size, err := strconv.Atoi(in[1])
	if err != nil || size < 1 || d.size[in[2]] != 0 {
		return fmt.Errorf("var %q", in)
	}
	if len(in) == 5 && in[4] != fmt.Sprintf("[%d:0]", size-1) || len(in) == 4 && in[0] == "wire" && size != 1 {
		return fmt.Errorf("var %q", in)
	}
	if !simpleIdentifier.MatchString(in[3]) && !escapedIdentifier.MatchString(in[3]) {
		return fmt.Errorf("var %q", in)
	}
	path := strings.Join(append(slices.Clone(scopes), strings.TrimPrefix(in[3], `\`)), ".")
	if declared[path] {
		return fmt.Errorf("%s is declared twice", path)
	}
	declared[path] = true
	d.code[path], d.size[in[2]], d.real[in[2]] = in[2], size, in[0] == "real"
	return nil
}

// simulate reads the simulation commands.
func (d *dump) simulate(words []string) error {
	now := map[string]string{}
	dumping := false
	for len(words) > 0 {
		w := words[0]
		words = words[1:]
		var value, code string
		switch {
		case w == "$dumpvars" && len(d.times) == 1 && !dumping:
			dumping = true
			continue
		case w == "$end" && dumping:
			if dumping = false; len(now) != len(d.size) {
				return fmt.Errorf("%d of %d variables are dumped at first", len(now), len(d.size))
			}
			continue
		case w[0] == '#':
			at, err := strconv.ParseInt(w[1:], 10, 64)
			if err != nil || at < 0 || len(d.times) > 0 && at <= d.times[len(d.times)-1] {
				return fmt.Errorf("time %q", w)
			}
			kept := map[string]string{}
			for k, v := range now {
				kept[k] = v
			}
			now = kept
			d.times, d.values = append(d.times, at), append(d.values, now)
			continue
		case strings.ContainsRune("01xXzZ", rune(w[0])):
			value, code = w[:1], w[1:]
			if d.size[code] != 1 || d.real[code] {
				return fmt.Errorf("scalar %q", w)
			}
		case w[0] == 'b' || w[0] == 'r':
			value, code = w[1:], words[0]
			words = words[1:]
			if (w[0] == 'r') != d.real[code] || w[0] == 'r' && !realNumber.MatchString(value) {
				return fmt.Errorf("%q of %q", w, code)
			}
			if w[0] == 'b' {
				if value == "" || len(value) > d.size[code] || strings.Trim(value, "01xXzZ") != "" {
					return fmt.Errorf("vector %q of %q", w, code)
				}
				left := "0" // a value that is too short is extended, x by x (table 18-1)
				if value[0] == 'x' {
					left = "x"
				}
				value = strings.Repeat(left, d.size[code]-len(value)) + value
			}
		default:
			return fmt.Errorf("%q is no value change", w)
		}
		if d.size[code] == 0 || len(d.times) == 0 {
			return fmt.Errorf("%q is a value of nothing", w)
		}
		now[code] = value
	}
	return nil
}

// forms runs the one drive of a request as VCD and as CSV.
func forms(t *testing.T, req run.DriveRequest) (d *dump, states map[string][]string, rows [][]string) {
	t.Helper()
	req.One, req.Paces = true, []scenario.Pace{scenario.Middle}
	r := driving(t, req)
	text := written(t, "vcd", r)
	d, err := readDump(text)
	require.NoError(t, err, text)
	states = map[string][]string{}
	for _, m := range regexp.MustCompile(`\$comment (\S+): \w+, (0 .*) \$end`).FindAllStringSubmatch(text, -1) {
		for i, s := range strings.Split(m[2], ", ") {
			states[m[1]] = append(states[m[1]], strings.TrimPrefix(s, strconv.Itoa(i)+" "))
		}
	}
	rows, err = csv.NewReader(strings.NewReader(written(t, "csv", r))).ReadAll()
	require.NoError(t, err)
	return d, states, rows
}

// agree demands that the dump says the same as the last row of each time.
func agree(t *testing.T, d *dump, states map[string][]string, rows [][]string) (compared int) {
	t.Helper()
	heads := rows[0]
	const at = 4
	last := map[int64][]string{}
	for _, row := range rows[1:] {
		s, err := strconv.ParseFloat(row[at], 64)
		require.NoError(t, err)
		last[int64(math.Round(s*1e9))] = row
	}
	require.Equal(t, 1.0, d.nanoseconds)
	require.Len(t, d.times, len(last))
	for k, time := range d.times {
		for i := at + 1; i < len(heads); i++ {
			path, _, number := strings.Cut(heads[i], " (")
			full := "design." + path
			if strings.Contains(path, " ") {
				full = "design.shown." + strings.ReplaceAll(path, " ", "_")
			}
			code, ok := d.code[full]
			if !ok { // it stands in the scope of its name
				code, ok = d.code[full+"."+path[strings.LastIndex(path, ".")+1:]]
			}
			require.True(t, ok, full)
			got, want := d.values[k][code], last[time][i]
			switch {
			case number:
				assert.Equal(t, want, strconv.FormatFloat(must(strconv.ParseFloat(got, 64)), 'g', -1, 64), heads[i])
			case want == "?":
				assert.Equal(t, strings.Repeat("x", len(got)), got, heads[i])
			default:
				n, err := strconv.ParseInt(got, 2, 64)
				require.NoError(t, err)
				assert.Equal(t, want, states[path][n], "%s at %d", heads[i], time)
			}
			compared++
		}
	}
	return compared
}

func must(v float64, _ error) float64 { return v }

// The dump of each drive of the examples, read by a reader of its own, says what the table says.
func TestVCDIsTheTable(t *testing.T) {
	all, err := filepath.Glob("../../../examples/*.pintle")
	require.NoError(t, err)
	compared := 0
	for _, path := range all {
		req := run.OpenRequest{Path: path}
		r := driving(t, run.DriveRequest{OpenRequest: req})
		for i := range r.Drives {
			if len(r.Drives[i].Outcomes) > 1 {
				req.Options = map[string]string{}
				for _, c := range r.Drives[i].Outcomes[0].Design.Choices {
					req.Options[c.Option] = c.Position
				}
			}
			d, states, rows := forms(t, run.DriveRequest{OpenRequest: req, Names: []string{r.Drives[i].Name}})
			compared += agree(t, d, states, rows)
		}
	}
	assert.Greater(t, compared, 500)
}

// What is measured, sampled and not known, in a design that can be worked out on paper: 12 V; 60 W
// at 12 V are 2.4 ohm and 5 A; a ramp of 100 rpm in each second.
func TestVCDOfAMeasure(t *testing.T) {
	text := strings.Replace(allSorts, "ground body\n", "ground body\nquantity speed: 0 to 1000 rpm\ncondition fast: speed above 500 rpm\n", 1) +
		"drive up {\n    step: set key run, ramp speed to 1000 rpm over 10 s, see fast\n}\n"
	d, states, rows := forms(t, run.DriveRequest{
		OpenRequest: run.OpenRequest{Path: run.StandardInput, Input: []byte(text), Options: map[string]string{"trim": "rich"}},
		Names:       []string{"up"}, Show: []string{"volts at rail", "current through blower"}, Every: 2_000_000_000,
	})
	assert.NotZero(t, agree(t, d, states, rows))
	speed := map[int64]string{}
	for k, at := range d.times {
		speed[at/1e6] = d.values[k][d.code["design.speed"]]
	}
	assert.Equal(t, map[int64]string{0: "0", 2000: "200", 3000: "300", 4000: "400", 5000: "500", 6000: "600", 8000: "800", 10000: "1000"}, speed)
	amps, volts := must(strconv.ParseFloat(d.values[0][d.code["design.shown.current_through_blower"]], 64)), must(strconv.ParseFloat(d.values[0][d.code["design.shown.volts_at_rail"]], 64))
	assert.InDelta(t, 5, amps, 0.1)
	assert.InDelta(t, 12, volts, 0.1)
}
