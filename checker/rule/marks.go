package rule

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// Mark is what a fixture expects: a finding of a rule on a line. Marks stand in
// comments of the fixture:
//
//	wire W1: a to b   # want: no-feed "has no feed", wire-dangling "b"
//	load lamp: 1 to 2 # want: sneak-path "is lit"  # want evidence: "set key run"
//	fit valve: {       # want: fed-and-vented  # want help: "change H1 and H2 over"
//	# want above: syntax "quote"
//
// The text in quotes must occur in the message; it may be left out. A mark for evidence must occur in the
// evidence of the finding that the mark before it on the line stands for, one for help in what
// that says to do. A mark for
// the line above is for lines that can't carry a comment.
type Mark struct {
	Line     int // from 0
	Rule     string
	Message  string
	Evidence []string
	Help     []string
}

var (
	markStart = regexp.MustCompile(`#\s*want\b[^:"]*:`)
	markItem  = regexp.MustCompile(`^\s*,?\s*(?:([a-z][a-z-]*)\b)?\s*("(?:[^"\\]|\\.)*")?`)
)

// Marks reads the marks of a fixture, in order.
func Marks(text string) ([]Mark, error) {
	var out []Mark
	for n, line := range strings.Split(text, "\n") {
		starts := markStart.FindAllStringIndex(line, -1)
		for i, at := range starts {
			end := len(line)
			if i+1 < len(starts) {
				end = starts[i+1][0]
			}
			form := strings.Join(strings.Fields(strings.Trim(line[at[0]:at[1]], "#: ")), " ")
			marks, err := markItems(line[at[1]:end])
			if err != nil {
				return nil, fmt.Errorf("line %d: %w", n+1, err)
			}
			switch form {
			case "want", "want above":
				for _, m := range marks {
					if m.Rule == "" {
						return nil, fmt.Errorf("line %d: a mark names a rule before the text in quotes", n+1)
					}
					m.Line = n
					if form == "want above" {
						m.Line--
					}
					out = append(out, m)
				}
			case "want evidence", "want help":
				last, of := len(out)-1, strings.TrimPrefix(form, "want ")
				if i == 0 || last < 0 {
					return nil, fmt.Errorf("line %d: a mark for %s follows the mark of its finding", n+1, of)
				}
				for _, m := range marks {
					if m.Rule != "" || m.Message == "" {
						return nil, fmt.Errorf("line %d: %s is a text in quotes", n+1, of)
					}
					if of == "help" {
						out[last].Help = append(out[last].Help, m.Message)
					} else {
						out[last].Evidence = append(out[last].Evidence, m.Message)
					}
				}
			default:
				return nil, fmt.Errorf("line %d: %q is no mark; write want, want above, want evidence or want help", n+1, form)
			}
		}
	}
	return out, nil
}

func markItems(s string) ([]Mark, error) {
	var out []Mark
	for strings.TrimSpace(s) != "" {
		m := markItem.FindStringSubmatch(s)
		if m == nil || m[1]+m[2] == "" {
			return nil, fmt.Errorf("%q is no mark; write a rule and a text in quotes", strings.TrimSpace(s))
		}
		text := ""
		if m[2] != "" {
			var err error
			if text, err = strconv.Unquote(m[2]); err != nil {
				return nil, fmt.Errorf("%s: %w", m[2], err)
			}
		}
		out = append(out, Mark{Rule: m[1], Message: text})
		s = s[len(m[0]):]
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("a mark is empty")
	}
	return out, nil
}

// Unmarked returns the text of a fixture without its marks, as it is shown to people.
// Lines with nothing but marks go altogether.
func Unmarked(text string) string {
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		if at := markStart.FindStringIndex(line); at != nil {
			line = strings.TrimRight(line[:at[0]], " \t")
			if line == "" {
				continue
			}
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}
