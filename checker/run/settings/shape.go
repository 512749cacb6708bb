package settings

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
)

// shape is what stands behind a key.
type shape uint8

const (
	aText shape = iota
	aNumber
	someTexts
	aTable // of whatever is known by keys
	aTableOfTexts
)

// shapes of what is known; all other keys of `limits` are texts.
var shapes = map[string]shape{
	"rules": aTableOfTexts, "limits": aTable, "paths": aTable,
	"limits.wire_amps": aTableOfTexts,
	"limits.nodes":     aNumber, "limits.zones": aNumber, "limits.faults": aNumber, "limits.steps": aNumber,
	"limits.work": aNumber, "limits.time": aNumber, "limits.memory": aNumber,
	"paths.leave_out": someTexts,
}

// wanted says how each is written.
var wanted = map[shape]string{
	aText:         "a text in quotes",
	aNumber:       "a whole number, such as 1000",
	someTexts:     `a list of texts, such as ["old", "drafts/*"]`,
	aTable:        "a table",
	aTableOfTexts: "a table of texts",
}

// shapes demands of each known key that what stands behind it has the shape that is read.
func (p *problems) shapes(doc map[string]any) {
	for _, key := range keys {
		path := strings.Split(key, ".")
		value, ok := doc[path[0]]
		if ok && len(path) > 1 {
			var table map[string]any
			table, ok = value.(map[string]any)
			value, ok = table[path[1]], ok && table[path[1]] != nil
		}
		if !ok {
			continue
		}
		want, known := shapes[key]
		if !known {
			want = aText
		}
		p.shape(toml.Key(path), want, value)
	}
}

// cases refuses keys that are known in other letters: the library takes `Limits` for `limits`,
// and nothing else here would look at it.
func (p *problems) cases(doc map[string]any) {
	known := func(key toml.Key) {
		name := strings.Join(key, ".")
		if slices.Contains(keys, name) {
			return
		}
		if i := slices.IndexFunc(keys, func(k string) bool { return strings.EqualFold(k, name) }); i >= 0 {
			p.add(key, fmt.Sprintf("%q is written %q, in small letters", name, keys[i]))
		}
	}
	for _, first := range slices.Sorted(maps.Keys(doc)) {
		known(toml.Key{first})
		if table, ok := doc[first].(map[string]any); ok && slices.Contains(keys, first) {
			for _, second := range slices.Sorted(maps.Keys(table)) {
				known(toml.Key{first, second})
			}
		}
	}
}

func (p *problems) shape(key toml.Key, want shape, value any) {
	name := strings.Join(key, ".")
	wrong := func(key toml.Key, name string, want shape, value any) {
		message := fmt.Sprintf("%s must be %s, not %s", name, wanted[want], called(value))
		if want == aTable || want == aTableOfTexts {
			message += fmt.Sprintf("; write [%s] on a line of its own, and what it holds on lines below it", name)
		}
		p.add(key, message)
	}
	switch v := value.(type) {
	case string:
		if want != aText {
			wrong(key, name, want, value)
		}
	case int64:
		if want != aNumber {
			wrong(key, name, want, value)
		} else if int64(int(v)) != v {
			p.add(key, fmt.Sprintf("%s is too large a number", name))
		}
	case []any:
		if want != someTexts {
			wrong(key, name, want, value)
			return
		}
		for _, one := range v {
			if _, ok := one.(string); !ok {
				wrong(key, "an entry of "+name, aText, one)
				return
			}
		}
	case map[string]any:
		if want == aTable {
			return
		}
		if want != aTableOfTexts {
			wrong(key, name, want, value)
			return
		}
		for _, k := range slices.Sorted(maps.Keys(v)) {
			if _, ok := v[k].(string); !ok {
				wrong(append(slices.Clone(key), k), name+"."+k, aText, v[k])
			}
		}
	default:
		wrong(key, name, want, value)
	}
}

// called says what kind of value stands there.
func called(value any) string {
	switch value.(type) {
	case string:
		return "a text"
	case int64:
		return "a whole number"
	case float64:
		return "a number with a point"
	case bool:
		return "true or false"
	case time.Time:
		return "a date or time"
	case []any:
		return "a list"
	case []map[string]any:
		return "a list of tables"
	case map[string]any:
		return "a table"
	}
	return "something else"
}

// deepest is how deep lists, tables and the parts of a key may stand in each other. What is
// known needs three.
const deepest = 16

// tooDeep looks over a text before it is read: one level is one call of the library that
// reads it, and one table for each part of a key. what is "" where all is well.
func tooDeep(text string) (line int, what string) {
	line = 1
	depth, parts := 0, 0
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '\n':
			line, parts = line+1, 0
		case '#':
			if n := strings.IndexByte(text[i:], '\n'); n >= 0 {
				i += n - 1
			} else {
				return line, ""
			}
		case '"', '\'':
			n := quoted(text[i:])
			line += strings.Count(text[i:i+n], "\n")
			i += n - 1
		case '[', '{':
			depth++
		case ']', '}':
			depth = max(0, depth-1)
		case '.':
			parts++
		}
		if depth > deepest || parts > deepest {
			return line, fmt.Sprintf("nested more than %d levels deep; no setting needs that", deepest)
		}
	}
	return line, ""
}

// quoted is the length of the text in quotes that begins here, as far as it goes.
func quoted(text string) int {
	quote := text[:1]
	if long := strings.Repeat(quote, 3); strings.HasPrefix(text, long) {
		quote = long
	}
	for i := len(quote); i < len(text); i++ {
		switch {
		case text[i] == '\\' && quote[0] == '"':
			i++
		case text[i] == '\n' && len(quote) == 1:
			return i // not closed: the library says so
		case strings.HasPrefix(text[i:], quote):
			return i + len(quote)
		}
	}
	return len(text)
}
