package elaborate_test

import (
	"context"
	"errors"
	"flag"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

var update = flag.Bool("update", false, "write the golden files anew")

// texts is a loader of files that are held in memory; each is read once.
type texts struct {
	text  map[string]string
	files map[string]*syntax.File
}

func newTexts(text map[string]string) *texts {
	return &texts{text: text, files: map[string]*syntax.File{}}
}

func (l *texts) Load(_ context.Context, from *syntax.File, p string) (*syntax.File, error) {
	full := path.Join(path.Dir(from.Src.Name), p)
	return l.file(full)
}

func (l *texts) file(full string) (*syntax.File, error) {
	if f := l.files[full]; f != nil {
		return f, nil
	}
	text, ok := l.text[full]
	if !ok {
		return nil, errors.New("there is no such file")
	}
	f := syntax.Parse(source.NewFile(full, text), nil)
	l.files[full] = f
	return f, nil
}

// elaborated elaborates the file of that name.
func elaborated(t *testing.T, text map[string]string, root string) *elaborate.Result {
	t.Helper()
	l := newTexts(text)
	f, err := l.file(root)
	require.NoError(t, err)
	return elaborate.Elaborate(context.Background(), f, l)
}

func dump(t *testing.T, r *elaborate.Result) string {
	t.Helper()
	var b strings.Builder
	for _, d := range r.Designs {
		require.NoError(t, model.Dump(&b, d))
		b.WriteString("\n")
	}
	return b.String()
}

// TestDesigns holds the designs of testdata/design against their golden dumps. They are
// clean: neither the parser nor the elaborator has anything to say about them.
func TestDesigns(t *testing.T) {
	text := folder(t, "testdata/design")
	for _, name := range sortedNames(text) {
		if strings.Contains(name, "/") {
			continue
		}
		t.Run(name, func(t *testing.T) {
			r := elaborated(t, text, name)
			for _, f := range r.Files {
				for _, x := range f.Findings {
					t.Errorf("%s: parser: %s", position(x.Place), x.Message)
				}
			}
			for _, x := range r.Findings {
				t.Errorf("%s: %s: %s", position(x.Place), x.Rule, x.Message)
			}
			golden := filepath.Join("testdata/design", strings.TrimSuffix(name, ".pintle")+".dump")
			got := dump(t, r)
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got)
		})
	}
}
