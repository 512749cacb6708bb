package settings

import (
	"errors"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"pintle/lang/diag"
	"pintle/lang/spelling"
)

// FileName is what a settings file is called.
const FileName = "pintle.toml"

// WireTables are the names that limits.wire_table may have.
var WireTables = []string{"thin-wall"}

// Settings is what a settings file says. It is immutable once read.
type Settings struct {
	// Dir is the folder of the file, with slashes; "" for the defaults.
	Dir string
	// Rules maps names of rules to the severity that they are to have; diag.Off
	// switches a rule off.
	Rules  map[string]diag.Severity
	Limits Limits
	// LeaveOut are paths relative to Dir that are passed over when a folder is
	// walked; a file that is named is checked all the same.
	LeaveOut []string
}

// Default is what holds without a settings file.
func Default() *Settings { return &Settings{Limits: DefaultLimits()} }

// Severity of a rule whose own severity is given.
func (s *Settings) Severity(rule string, own diag.Severity) diag.Severity {
	if set, ok := s.Rules[rule]; ok {
		return set
	}
	return own
}

// Names reports whether the settings say anything of a rule.
func (s *Settings) Names(rule string) bool { _, ok := s.Rules[rule]; return ok }

// LeavesOut reports whether a file or folder that a walk comes to is passed over; the
// path has slashes and is relative to Dir. Patterns are those of path.Match. A walk
// that begins below a folder that is left out never asks about that folder.
func (s *Settings) LeavesOut(rel string) bool {
	return slices.ContainsFunc(s.LeaveOut, func(pattern string) bool {
		ok, _ := path.Match(pattern, rel)
		return ok
	})
}

// document is the layout of the file. Every key that the reference in README.md
// names stands here and nowhere else.
type document struct {
	Rules  map[string]severity `toml:"rules"`
	Limits struct {
		FeedDrop   *Drop   `toml:"voltage_drop_feed"`
		GroundDrop *Drop   `toml:"voltage_drop_ground"`
		WireTable  *string `toml:"wire_table"`
		wiringDocument
		Nodes  *int `toml:"nodes"`
		Zones  *int `toml:"zones"`
		Steps  *int `toml:"steps"`
		Work   *int `toml:"work"`
		Time   *int `toml:"time"`
		Memory *int `toml:"memory"`
		Faults *int `toml:"faults"`
	} `toml:"limits"`
	Paths struct {
		LeaveOut []string `toml:"leave_out"`
	} `toml:"paths"`
}

// keys that may be written, for suggestions.
var keys = []string{
	"rules", "limits", "paths",
	"limits.voltage_drop_feed", "limits.voltage_drop_ground", "limits.wire_table",
	"limits.wire_amps", "limits.fuse_share", "limits.sprung_fuse", "limits.sprung_wire", "limits.tell_tale", "limits.unfused_length", "limits.unfused_area", "limits.sensor_ground",
	"limits.nodes", "limits.zones", "limits.faults", "limits.steps", "limits.work", "limits.time", "limits.memory",
	"paths.leave_out",
}

type severity diag.Severity

func (s *severity) UnmarshalText(text []byte) error {
	v, ok := diag.ParseSeverity(string(text))
	if !ok {
		return fmt.Errorf("%q is no severity; write \"off\", \"note\", \"warning\" or \"error\"", text)
	}
	*s = severity(v)
	return nil
}

// Parse reads the text of a settings file. Name is used in errors only, rules are
// the names of all rules. The error tells everything that is wrong, a line each,
// with where it stands and what was probably meant.
func Parse(name, text string, rules []string) (*Settings, error) {
	if line, what := tooDeep(text); what != "" {
		return nil, Problem{name, line, what}
	}
	p := problems{name: name, text: text}
	var shape map[string]any
	if _, err := toml.Decode(text, &shape); err != nil {
		return nil, decodeError(name, err)
	}
	p.cases(shape)
	if p.shapes(shape); len(p.all) > 0 {
		return nil, p.join()
	}
	var doc document
	meta, err := toml.Decode(text, &doc)
	if err != nil {
		return nil, decodeError(name, err)
	}
	var table toml.Key // an unknown table is one mistake, whatever it holds
	for _, key := range meta.Undecoded() {
		if len(table) > 0 && len(key) > len(table) && slices.Equal(table, key[:len(table)]) {
			continue
		}
		table = key
		p.unknown(key, "setting", strings.Join(key, "."), keys)
	}
	s := Default()
	s.Rules = make(map[string]diag.Severity, len(doc.Rules))
	for _, rule := range slices.Sorted(maps.Keys(doc.Rules)) {
		if !slices.Contains(rules, rule) {
			p.unknown(toml.Key{"rules", rule}, "rule", rule, rules)
		}
		s.Rules[rule] = diag.Severity(doc.Rules[rule])
	}
	if d := doc.Limits.FeedDrop; d != nil {
		s.Limits.FeedDrop = *d
	}
	if d := doc.Limits.GroundDrop; d != nil {
		s.Limits.GroundDrop = *d
	}
	if t := doc.Limits.WireTable; t != nil {
		if !slices.Contains(WireTables, *t) {
			p.unknown(toml.Key{"limits", "wire_table"}, "wire table", *t, WireTables)
		}
		s.Limits.WireTable = *t
	}
	doc.Limits.apply(&s.Limits.Wiring, &p)
	for _, l := range []struct {
		key  string
		from *int
		to   *int
	}{
		{"nodes", doc.Limits.Nodes, &s.Limits.Nodes},
		{"zones", doc.Limits.Zones, &s.Limits.Zones},
		{"steps", doc.Limits.Steps, &s.Limits.Steps},
		{"work", doc.Limits.Work, &s.Limits.Work},
		{"time", doc.Limits.Time, &s.Limits.Time},
		{"memory", doc.Limits.Memory, &s.Limits.Memory},
		{"faults", doc.Limits.Faults, &s.Limits.Faults},
	} {
		if l.from == nil {
			continue
		}
		if *l.from < 1 {
			p.add(toml.Key{"limits", l.key}, fmt.Sprintf("limits.%s must be at least 1", l.key))
		}
		*l.to = *l.from
	}
	if n := len(doc.Paths.LeaveOut); n > mostPatterns {
		p.add(toml.Key{"paths", "leave_out"}, fmt.Sprintf("paths.leave_out has %d patterns; up to %d are read", n, mostPatterns))
		doc.Paths.LeaveOut = nil
	}
	for _, pattern := range doc.Paths.LeaveOut {
		if _, err := path.Match(pattern, ""); err != nil || path.IsAbs(pattern) {
			p.add(toml.Key{"paths", "leave_out"}, fmt.Sprintf("%q is no path below this folder", pattern))
		}
		s.LeaveOut = append(s.LeaveOut, path.Clean(pattern))
	}
	return s, p.join()
}

func decodeError(name string, err error) error {
	if at, ok := errors.AsType[toml.ParseError](err); ok {
		message := at.Message
		if message == "" {
			message = strings.TrimPrefix(at.Error(), fmt.Sprintf("toml: line %d", at.Position.Line))
			if _, after, ok := strings.Cut(message, ": "); ok {
				message = after
			}
		}
		for _, kind := range []string{" for int64", " for float64"} {
			message = strings.TrimSuffix(message, kind)
		}
		return Problem{name, at.Position.Line, message}
	}
	return Problem{name, 0, strings.TrimPrefix(err.Error(), "toml: ")}
}

// Problem is one thing that is wrong with a settings file.
type Problem struct {
	File    string
	Line    int // from 1; 0: the file as a whole
	Message string
}

func (p Problem) Error() string {
	if p.Line == 0 {
		return p.File + ": " + p.Message
	}
	return fmt.Sprintf("%s:%d: %s", p.File, p.Line, p.Message)
}

// Problems are the single things that an error about settings tells.
func Problems(err error) []Problem {
	if p, ok := err.(Problem); ok {
		return []Problem{p}
	}
	var out []Problem
	switch e := err.(type) {
	case nil:
	case interface{ Unwrap() []error }:
		for _, one := range e.Unwrap() {
			out = append(out, Problems(one)...)
		}
	case interface{ Unwrap() error }:
		out = Problems(e.Unwrap())
	}
	if len(out) == 0 && err != nil {
		out = []Problem{{Message: err.Error()}}
	}
	return out
}

// mostProblems is how much of what is wrong with a file is reported, and mostPatterns the
// most that may be left out of walks.
const mostProblems, mostPatterns = 20, 500

// problems collects what is wrong with a file.
type problems struct {
	name, text string
	all        []error
	more       int
}

func (p *problems) join() error {
	if p.more > 0 {
		return errors.Join(append(p.all, Problem{p.name, 1, fmt.Sprintf("and %d more", p.more)})...)
	}
	return errors.Join(p.all...)
}

func (p *problems) add(key toml.Key, message string) {
	if len(p.all) == mostProblems {
		p.more++
		return
	}
	p.all = append(p.all, Problem{p.name, lineOf(p.text, key), message})
}

func (p *problems) unknown(key toml.Key, what, word string, known []string) {
	if len(p.all) == mostProblems {
		p.more++ // the nearest word would be looked for in vain
		return
	}
	message := fmt.Sprintf("there is no %s called %q", what, word)
	if nearest := nearest(word, known); nearest != "" {
		message += fmt.Sprintf("; the nearest is %q", nearest)
	} else if len(known) < 10 {
		message += "; there is " + strings.Join(known, ", ")
	} else if what == "rule" {
		message += "; `pintle rules` lists them"
	}
	p.add(key, message)
}

// nearest finds the word that was meant: one that is spelled nearly so, or a key
// whose table was left out.
func nearest(word string, known []string) string {
	if i := slices.IndexFunc(known, func(k string) bool { return strings.HasSuffix(k, "."+word) }); i >= 0 {
		return known[i]
	}
	return spelling.Best(word, slices.Values(known))
}

// lineOf finds the line on which a key is written, from 1: the library does not
// tell for keys that it could not place. It looks for the key below its table's
// header and falls back to the first line.
func lineOf(text string, key toml.Key) int {
	table, last := strings.Join(key[:len(key)-1], "."), key[len(key)-1]
	at, header := "", 1
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if inner, ok := strings.CutPrefix(line, "["); ok {
			at = strings.Trim(inner, "[] ")
			if at == strings.Join(key, ".") {
				return i + 1
			}
			if at == table {
				header = i + 1
			}
			continue
		}
		left, _, _ := strings.Cut(line, "=")
		left = strings.Trim(left, ` "'`)
		if at == table && left == last || at == "" && left == strings.Join(key, ".") {
			return i + 1
		}
	}
	return header
}
