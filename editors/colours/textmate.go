package colours

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// rule is a rule of a TextMate grammar.
type rule struct {
	Name     string          `json:"name,omitempty"`
	Match    string          `json:"match,omitempty"`
	Captures map[string]rule `json:"captures,omitempty"`
}

// Patterns of the grammars that know lookbehind. Names may hold dots, pluses and inner
// minuses; a word in one of them, K1.main or pull-in, is no word of the language.
const (
	nameChar   = `[\w.+-]`
	wordBegins = `(?<!` + nameChar + `)`
	wordEnds   = `(?!\w|[.+-]\w)`
	// declared is a kind with what it declares, up to its colon, body, text or end.
	declared  = `(?:^|(?<=[{}]))\s*(%s)\s+([\w+-]+(?:\s*,\s*[\w+-]+)*)(?=\s*(?:[:{}"#]|$))`
	begins    = `(?:^|(?<=[{}]))\s*(%s)` + wordEnds
	numBegins = `(?<!\w[+-]|[\w.])`
	number    = numBegins + `([+-]?\d+(?:\.\d+)?)(?:\s*(%s))?(?![\w.])`
	date      = numBegins + `\d{4}-\d{2}-\d{2}(?!\w)`
	aWord     = wordBegins + `(?:%s)` + wordEnds
)

// TextMate is the grammar for editors of that family, as JSON.
func TextMate(w Words) (string, error) {
	scope := func(s string) rule { return rule{Name: s + ".pintle"} }
	one := func(name, match string) rule { return rule{Name: name + ".pintle", Match: match} }
	word := func(name string, words []string) rule { return one(name, fmt.Sprintf(aWord, alternatives(words))) }
	grammar := struct {
		Comment   string `json:"//"`
		Name      string `json:"name"`
		ScopeName string `json:"scopeName"`
		Patterns  []rule `json:"patterns"`
	}{
		"Made by `go test ./editors/colours -update` out of the tables of the language.", "Pintle", "source.pintle",
		[]rule{
			one("comment.line.documentation", `##.*$`),
			one("comment.line.number-sign", `#.*$`),
			one("string.quoted.double", `"[^"]*(?:"|$)`),
			{Match: fmt.Sprintf(declared, alternatives(w.Kinds)), Captures: map[string]rule{
				"1": scope("keyword.control"), "2": scope("entity.name.function"),
			}},
			{Match: fmt.Sprintf(begins, alternatives(w.Kinds)), Captures: map[string]rule{"1": scope("keyword.control")}},
			one("constant.numeric.date", date),
			{Match: fmt.Sprintf(number, alternatives(w.Units)), Captures: map[string]rule{
				"1": scope("constant.numeric"), "2": scope("keyword.other.unit"),
			}},
			word("keyword.operator.word", w.Operators),
			word("storage.modifier.clause", w.Clauses),
			word("support.constant.colour", w.Colours),
			word("constant.language", w.Choices),
			one("keyword.operator.tolerance", `\+-|±`),
		},
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(grammar)
	return b.String(), err
}

// Sublime is the same grammar as a .sublime-syntax.
func Sublime(w Words) string {
	var b bytes.Buffer
	b.WriteString(`%YAML 1.2
---
# Made by "go test ./editors/colours -update" out of the tables of the language.
name: Pintle
file_extensions: [pintle]
scope: source.pintle
contexts:
  main:
    - match: '##.*$'
      scope: comment.line.documentation.pintle
    - match: '#.*$'
      scope: comment.line.number-sign.pintle
    - match: '"[^"]*(?:"|$)'
      scope: string.quoted.double.pintle
`)
	match := func(pattern string, scopes ...string) {
		fmt.Fprintf(&b, "    - match: '%s'\n", pattern)
		if len(scopes) == 1 {
			fmt.Fprintf(&b, "      scope: %s.pintle\n", scopes[0])
			return
		}
		b.WriteString("      captures:\n")
		for i, s := range scopes {
			fmt.Fprintf(&b, "        %d: %s.pintle\n", i+1, s)
		}
	}
	match(fmt.Sprintf(declared, alternatives(w.Kinds)), "keyword.control", "entity.name.function")
	fmt.Fprintf(&b, "    - match: '%s'\n      captures:\n        1: keyword.control.pintle\n", fmt.Sprintf(begins, alternatives(w.Kinds)))
	match(date, "constant.numeric.date")
	match(fmt.Sprintf(number, alternatives(w.Units)), "constant.numeric", "keyword.other.unit")
	for _, l := range []struct {
		scope string
		words []string
	}{
		{"keyword.operator.word", w.Operators},
		{"storage.modifier.clause", w.Clauses},
		{"support.constant.colour", w.Colours},
		{"constant.language", w.Choices},
	} {
		match(fmt.Sprintf(aWord, alternatives(l.words)), l.scope)
	}
	match(`\+-|±`, "keyword.operator.tolerance")
	return b.String()
}
