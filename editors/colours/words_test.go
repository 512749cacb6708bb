package colours

import (
	"encoding/xml"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/golden"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// TestFiles holds the files that editors read against the tables of the language.
func TestFiles(t *testing.T) {
	w := Vocabulary()
	textMate, err := TextMate(w)
	require.NoError(t, err)
	golden.Check(t, "../vscode/syntaxes/pintle.tmLanguage.json", textMate)
	kate, err := Kate(w)
	require.NoError(t, err)
	golden.Check(t, "../kate/pintle.xml", kate)
	golden.Check(t, "../sublime/Pintle.sublime-syntax", Sublime(w))
	golden.Check(t, "../vim/syntax/pintle.vim", Vim(w))
	golden.Check(t, "../emacs/pintle-words.el", Emacs(w))

	var any struct{ XMLName xml.Name }
	require.NoError(t, xml.Unmarshal([]byte(kate), &any))
}

// TestVocabulary holds the words against what the language reads.
func TestVocabulary(t *testing.T) {
	w := Vocabulary()
	for _, k := range schema.All() {
		assert.Contains(t, w.Kinds, k.Name)
		for _, f := range k.Forms {
			for _, e := range f.Elems {
				if e.Word != "" {
					assert.Contains(t, slices.Concat(w.Operators, w.Clauses), e.Word)
				}
			}
		}
	}
	for _, c := range conditions {
		f := syntax.Parse(source.NewFile("x.pintle", "condition x: "+c+"\n"), nil)
		assert.Empty(t, f.Findings, c)
	}
}
