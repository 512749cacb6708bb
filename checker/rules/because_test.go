package rules_test

import (
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/question/evidence"
	"pintle/checker/rules"
)

// TestBecause holds the causes that findings tell against what is said of them in the designs
// of testdata/because: each `# says: TEXT` stands in some evidence, no `# not: TEXT` does. The
// causes of all of these were worked out by hand from the design. All that is told is worked
// out again, too.
func TestBecause(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	dir := os.DirFS("testdata/because")
	files, err := fs.Glob(dir, "*.pintle")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(file, path.Ext(file)), func(t *testing.T) {
			text, err := fs.ReadFile(dir, file)
			require.NoError(t, err)
			found, designs := foundIn(t, c, dir, file, string(text))
			var told strings.Builder
			for i := range found {
				if found[i].Rule == "value-assumed" {
					continue
				}
				told.WriteString(found[i].Message + "\n")
				for _, e := range found[i].Evidence {
					told.WriteString("  " + e.Title + ":\n")
					for _, l := range e.Lines {
						told.WriteString("    " + l.Text + "\n")
					}
				}
				_, wrong, err := evidence.Replay(t.Context(), designs[found[i].Design], &found[i])
				require.NoError(t, err)
				for _, w := range append(wrong, untold(&found[i], string(text))...) {
					t.Errorf("%s %q: %s", found[i].Rule, found[i].Message, w)
				}
			}
			marks := 0
			for line := range strings.Lines(string(text)) {
				line = strings.TrimSpace(line)
				if says, ok := strings.CutPrefix(line, "# says: "); ok {
					marks++
					if !strings.Contains(told.String(), says) {
						t.Errorf("nothing says %q", says)
					}
				}
				if not, ok := strings.CutPrefix(line, "# not: "); ok {
					marks++
					if strings.Contains(told.String(), not) {
						t.Errorf("something says %q", not)
					}
				}
			}
			require.NotZero(t, marks, "nothing is said of the causes")
			if t.Failed() {
				t.Log(told.String())
			}
		})
	}
}

// What could not be read has no say that could be looked up, also where assumptions leave
// nothing that can move: no rule fails.
func TestRestlessUnread(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	foundIn(t, c, os.DirFS("testdata/because"), "unread.pintle", `title "Unread"
setting key: off, run
setting gear: first, neutral
ground body
supply battery: 12.6 V, from body {to stud, inside 8 mohm
load filament: battery.stud to body, 1.2 W at 12 V, lit from 60 %
assume key_in_neutral: key moves to run only while gear is neutral
assume gear_with_key: gear moves to neutral only while key is run
`)
}
