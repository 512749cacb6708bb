package ide

import (
	"regexp"
	"strings"

	"pintle/lang/escape"
)

// Text is what people are told, in blocks. An editor shows it as Markdown or, where it
// knows no Markdown, as plain text.
type Text []Block

// Block is one block of a Text.
type Block struct {
	Kind BlockKind
	Text string
}

// BlockKind says how a block is shown.
type BlockKind uint8

// The kinds of blocks.
const (
	Words  BlockKind = iota // a paragraph; may hold `names` between backticks
	Code                    // lines of a design
	Ladder                  // lines whose columns stand one below the other
	Item                    // one line of a list; neighbours make one list
	Page                    // Markdown as it stands; never of what a design says
)

func (t *Text) Add(kind BlockKind, text string) {
	if text = strings.TrimRight(text, "\n"); text != "" {
		*t = append(*t, Block{kind, text})
	}
}

// Markdown writes the text as Markdown.
func (t Text) Markdown() string {
	return t.write(func(b Block) string {
		switch b.Kind {
		case Code:
			return escape.Fence("pintle", b.Text)
		case Ladder:
			return escape.Fence("text", b.Text)
		case Item:
			return "- " + escape.Markdown(b.Text)
		case Words:
			return escape.Markdown(b.Text)
		}
		return b.Text
	})
}

// Plain writes the text without any markup.
func (t Text) Plain() string {
	return t.write(func(b Block) string {
		switch b.Kind {
		case Code, Ladder:
			return "    " + strings.ReplaceAll(escape.Lines(b.Text), "\n", "\n    ")
		case Item:
			return "- " + unquoted(b.Text)
		case Page:
			return plainPage(b.Text)
		}
		return unquoted(b.Text)
	})
}

func (t Text) write(block func(Block) string) string {
	var b strings.Builder
	for i, x := range t {
		switch {
		case i == 0:
		case x.Kind == Item && t[i-1].Kind == Item:
			b.WriteByte('\n')
		default:
			b.WriteString("\n\n")
		}
		b.WriteString(block(x))
	}
	return b.String()
}

func unquoted(s string) string { return escape.Lines(strings.ReplaceAll(s, "`", "")) }

var (
	headings = regexp.MustCompile(`(?m)^#+ +`)
	fences   = regexp.MustCompile("(?m)^```.*\n?")
	links    = regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	strong   = regexp.MustCompile(`\*\*([^*]*)\*\*`)
)

func plainPage(s string) string {
	s = fences.ReplaceAllString(s, "")
	s = headings.ReplaceAllString(s, "")
	s = links.ReplaceAllString(s, "$1")
	s = strong.ReplaceAllString(s, "$1")
	return strings.TrimRight(unquoted(s), "\n")
}

// Listed joins phrases as one says them.
func Listed(list []string) string {
	switch n := len(list); n {
	case 0:
		return ""
	case 1:
		return list[0]
	default:
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
}
