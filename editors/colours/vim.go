package colours

import (
	"fmt"
	"strings"
)

// Vim is the syntax file for Vim and Neovim.
func Vim(w Words) string {
	var b strings.Builder
	b.WriteString(`" Made by "go test ./editors/colours -update" out of the tables of the language.
if exists('b:current_syntax')
  finish
endif

syntax case match
" What a name may hold: K1.87a, B+, pull-in. A word in a name is no word of the language.
syntax iskeyword @,48-57,_,-,+,.

syntax match pintleNumber /\%(\w[+-]\|[0-9A-Za-z_.]\)\@2<![+-]\?\d\+\%(\.\d\+\)\?\k\@!/
`)
	vimUnits(&b, w.Units)
	for _, l := range []struct {
		group string
		words []string
	}{
		{"pintleOperator", w.Operators}, {"pintleClause", w.Clauses},
		{"pintleColour", w.Colours}, {"pintleChoice", w.Choices},
	} {
		fmt.Fprintf(&b, "syntax match %s /\\<\\%%(%s\\)\\>/\n", l.group, strings.Join(l.words, `\|`))
	}
	fmt.Fprintf(&b, `syntax match pintleKind /\%%(^\|[{}]\)\@1<=\s*\zs\%%(%[1]s\)\k\@!/ nextgroup=pintleName skipwhite
syntax match pintleName /[0-9A-Za-z_+-]\+\%%(\s*,\s*[0-9A-Za-z_+-]\+\)*\%%(\s*\%%([:{}"#]\|$\)\)\@=/ contained
`, strings.Join(w.Kinds, `\|`))
	b.WriteString(`syntax match pintleText /"[^"]*"\?/
syntax match pintleComment /#.*$/ contains=@Spell
syntax match pintleDocumentation /##.*$/ contains=@Spell
syntax region pintleBody start=/{/ end=/}/ transparent fold contains=TOP

highlight default link pintleKind Statement
highlight default link pintleName Identifier
highlight default link pintleClause Keyword
highlight default link pintleOperator Operator
highlight default link pintleColour Constant
highlight default link pintleChoice Constant
highlight default link pintleNumber Number
highlight default link pintleUnit Type
highlight default link pintleText String
highlight default link pintleComment Comment
highlight default link pintleDocumentation SpecialComment

let b:current_syntax = 'pintle'
`)
	return b.String()
}

// vimUnits writes the rule for a number with its unit.
func vimUnits(b *strings.Builder, units []string) {
	fmt.Fprintf(b, "syntax match pintleUnit /\\%%(\\d\\s*\\)\\@<=\\%%(%s\\)\\%%([0-9A-Za-z_]\\)\\@!/\n",
		strings.ReplaceAll(strings.ReplaceAll(alternatives(units), "|", `\|`), "/", `\/`))
}

// Emacs is the list of words that pintle-mode.el colours.
func Emacs(w Words) string {
	var b strings.Builder
	b.WriteString(";;; pintle-words.el --- The words of Pintle  -*- lexical-binding: t -*-\n\n" +
		";;; Commentary:\n\n;; Made by \"go test ./editors/colours -update\" out of the tables of the language.\n\n;;; Code:\n")
	for _, l := range []struct {
		name, doc string
		words     []string
	}{
		{"kinds", "What a statement begins with.", w.Kinds},
		{"operators", "The words of conditions.", w.Operators},
		{"clauses", "The words of clauses.", w.Clauses},
		{"choices", "What clauses let choose from.", w.Choices},
		{"colours", "The colours of wires.", w.Colours},
		{"units", "The units, in every spelling.", w.Units},
	} {
		fmt.Fprintf(&b, "\n(defconst pintle-%s\n  '(", l.name)
		for i, word := range l.words {
			switch {
			case i > 0 && i%8 == 0:
				b.WriteString("\n    ")
			case i > 0:
				b.WriteByte(' ')
			}
			fmt.Fprintf(&b, "%q", word)
		}
		fmt.Fprintf(&b, ")\n  %q)\n", l.doc)
	}
	b.WriteString("\n(provide 'pintle-words)\n;;; pintle-words.el ends here\n")
	return b.String()
}
