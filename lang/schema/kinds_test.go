package schema

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Building the table checks it: patterns compile, no ID is used twice. Here, that none
// is left out.
func TestTableIsWhole(t *testing.T) {
	for id := Title; id < idCount; id++ {
		require.NotNil(t, Of(id), "no kind has the ID %d", uint8(id))
	}
	for id := range formCount {
		require.NotNil(t, FormOf(id), "no form has the ID %d", uint16(id))
	}
	for _, k := range All() {
		assert.NotEmpty(t, k.Doc, k.Name)
		assert.NotZero(t, k.Where, k.Name)
		assert.Equal(t, k.Body != NoBody && k.ID != Only, k.Inside != 0, "the body of %s", k.Name)
		roles := map[string]bool{}
		for _, f := range k.Forms {
			assert.NotEmpty(t, f.Doc, f.Pattern)
			assert.Same(t, k, f.Kind)
			assert.Same(t, f, k.Form(f.ID))
			clear(roles)
			for _, e := range f.Elems {
				if e.Slot != nil {
					assert.False(t, roles[e.Slot.Role], "%s has two slots %s", f.Pattern, e.Slot.Role)
					roles[e.Slot.Role] = true
					assert.Same(t, e.Slot, f.Slot(e.Slot.Role))
				}
			}
		}
	}
}

// No context knows two kinds by the same word.
func TestWordsAreClear(t *testing.T) {
	for c := InTop; c <= InDrive; c <<= 1 {
		seen := map[string]*Kind{}
		for _, k := range All() {
			if k.Where&c == 0 {
				continue
			}
			assert.Nil(t, seen[k.Name], "%s in %v", k.Name, c.Phrases())
			seen[k.Name] = k
			got, ok := Lookup(k.Name, c)
			assert.True(t, ok)
			assert.Same(t, k, got)
		}
		assert.NotEmpty(t, seen, "nothing stands in %v", c.Phrases())
		assert.Len(t, c.Phrases(), 1)
	}
	k, ok := Lookup("driver", InTop)
	assert.False(t, ok)
	assert.Equal(t, Driver, k.ID)
	k, ok = Lookup("lorry", InTop)
	assert.False(t, ok)
	assert.Nil(t, k)
	assert.Len(t, Named("row"), 3)
}

func TestSuggest(t *testing.T) {
	assert.Equal(t, "coil", Suggest("coyl", InFit))
	assert.Equal(t, "threshold", Suggest("treshhold", InTop))
	assert.Empty(t, Suggest("driver1", InChart), "only what may stand there")
	assert.Equal(t, CoilPullsIn, Of(Coil).Suggest([]string{"pulls", "up", "at"}).ID)
	assert.Equal(t, CoilDropsOut, Of(Coil).Suggest([]string{"drop", "out"}).ID)
	assert.Equal(t, InputReadsVolts, Of(Input).Suggest([]string{"reads", "volt"}).ID)
	assert.Nil(t, Of(Coil).Suggest([]string{"sings"}))
	assert.Equal(t, "yellow", SuggestColour("yelow"))
}

func TestColours(t *testing.T) {
	assert.True(t, slices.IsSorted(colours))
	c, ok := Colour("gray")
	assert.True(t, ok)
	assert.Equal(t, "grey", c)
	_, ok = Colour("plaid")
	assert.False(t, ok)
}

func TestSnippets(t *testing.T) {
	assert.Equal(t, "pulls in at ${1:12.6 V}", FormOf(CoilPullsIn).Snippet())
	assert.Equal(t, "coil ${1:name}: ${2:K1.a} to ${3:K1.b}, ${4:85 ohm +-10 %}", Of(Coil).Snippet)
	assert.Equal(t, "part ${1:name} {\n    $0\n}", Of(Part).Snippet)
	assert.Equal(t, "from K1.minus to K1.plus", FormOf(SupplyEnds).Example())
	assert.Equal(t, "pulls in at Q(voltage)", Reading(FormOf(CoilPullsIn)))
	assert.Equal(t, "pulls in at 12.6 V", Written(FormOf(CoilPullsIn)))
	assert.Equal(t, "COND within 200 ms whenever COND", Written(FormOf(RequireWithin)))
}

// reference is section 3 of the reference, which describes the kinds.
func reference(t *testing.T) string {
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	_, text3, ok := strings.Cut(string(text), "\n## 3. Kinds\n")
	require.True(t, ok, "the reference has no section 3")
	text3, _, _ = strings.Cut(text3, "\n## ")
	return text3
}

var (
	heading = regexp.MustCompile("\\*\\*`([^`]*)`\\*\\*") // a statement in bold
	code    = regexp.MustCompile("`([^`]*)`")
)

// Every kind has a heading in the reference, and every heading a kind.
func TestReferenceHasTheKinds(t *testing.T) {
	described := map[string]bool{}
	for _, m := range heading.FindAllStringSubmatch(reference(t), -1) {
		word, _, _ := strings.Cut(m[1], " ")
		described[strings.TrimSuffix(word, ":")] = true
	}
	for _, m := range code.FindAllStringSubmatch(reference(t), -1) {
		// Rows are shown inside what they are the rows of.
		if strings.HasPrefix(m[1], "row ") {
			described["row"] = true
		}
	}
	inTable := map[string]bool{}
	for _, k := range All() {
		inTable[k.Name] = true
		assert.True(t, described[k.Name], "the reference does not describe %s", k.Name)
	}
	for word := range described {
		assert.True(t, inTable[word], "the reference describes %s, which is no kind", word)
	}
}

// Every clause with words of its own stands in the reference, and every clause in the
// first column of its tables is one.
func TestReferenceHasTheClauses(t *testing.T) {
	text := reference(t)
	for _, k := range All() {
		for _, f := range k.Forms {
			if l := f.Literal(); l != "" {
				in := regexp.MustCompile("`[^`]*\\b" + regexp.QuoteMeta(l) + "\\b[^`]*`").MatchString(text)
				assert.True(t, in, "the reference lacks a clause of %s: %s", k.Name, f.Pattern)
			}
		}
	}
	for line := range strings.Lines(text) {
		first, ok := strings.CutPrefix(line, "| ")
		if !ok {
			continue
		}
		first, _, _ = strings.Cut(first, " |")
		for _, m := range code.FindAllStringSubmatch(first, -1) {
			assert.True(t, isClause(m[1]), "the reference has the clause `%s`", m[1])
		}
	}
}

// isClause reports whether what the reference writes fits the words of some form; what
// fills slots is written there in capitals, or as an example.
func isClause(text string) bool {
	for _, k := range All() {
		for _, f := range k.Forms {
			var pattern strings.Builder
			pattern.WriteString("^")
			for i, e := range f.Elems {
				if i > 0 {
					pattern.WriteString(" ?")
				}
				if e.Slot == nil {
					pattern.WriteString(regexp.QuoteMeta(e.Word))
				} else {
					pattern.WriteString(".*")
				}
			}
			if regexp.MustCompile(pattern.String()+"$").MatchString(text) && (f.Literal() != "" || strings.ToLower(text) != text || strings.ContainsAny(text, "0123456789/") || f.Elems[0].Slot.Type == SlotChoice || f.Elems[0].Slot.Type == SlotColour) {
				return true
			}
		}
	}
	return false
}

// What a path may name is said once: the parser's choices, the findings of the elaborator and
// completion follow.
func TestWhatPathsMayName(t *testing.T) {
	slot := func(id FormID, role string) *Slot { return FormOf(id).Slot(role) }
	assert.Equal(t, []ID{Coil, Armature}, slot(ContactBy, "mover").Names)
	assert.Equal(t, "a coil or an armature", slot(ContactBy, "mover").Wants())
	assert.True(t, slot(AcceptOn, "thing").MayName(Wire), "a slot without kinds takes anything")
	failing := slot(StepFail, "thing")
	assert.Equal(t, "a thing that can fail: a wire, connector, hose, coil, contact, load, resistor, diode, fuse, passage, sender or driver", failing.Wants())
	for _, k := range All() {
		assert.Equal(t, len(k.Fails) > 0, failing.MayName(k.ID), k.Name)
	}
}

// IEC 60757, Code for designation of colours, as it is cited in wiring handbooks (from memory):
// the letters of the standard, and a combination without a sign between them.
func TestColourCodes(t *testing.T) {
	for colour, code := range map[string]string{
		"black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU", "violet": "VT",
		"grey": "GY", "white": "WH", "pink": "PK", "gold": "GD", "turquoise": "TQ", "silver": "SR", "green/yellow": "GNYE",
	} {
		assert.Equal(t, code, ColourCode(colour))
		back, ok := ReadColour(code)
		assert.True(t, ok, code)
		assert.Equal(t, colour, back)
	}
	assert.Empty(t, ColourCode("ivory"), "the standard has no letters for it")
	assert.Empty(t, ColourCode("light green"))
	for text, colour := range map[string]string{
		"RD/WH": "red/white", "rd-wh": "red/white", "red white": "red/white", "Gray": "grey", "brn/blk": "brown/black",
		"light green": "light green", "Dark Blue/white": "dark blue/white", "tan": "tan",
	} {
		got, ok := ReadColour(text)
		assert.True(t, ok, text)
		assert.Equal(t, colour, got, text)
	}
	for _, text := range []string{"", "bleu", "RDXX", "red/white/blue", "light", "light bleu", "/"} {
		got, ok := ReadColour(text)
		assert.False(t, ok, "%q is %q", text, got)
	}
}
