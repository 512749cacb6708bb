package rules_test

import (
	"io/fs"
	"os"
	"path"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest"
	"pintle/checker/rules"
)

// Every example is in order, and every faulty one has the finding that is marked in it
// and no other.
func TestExamples(t *testing.T) {
	c, err := rules.All()
	require.NoError(t, err)
	examples := os.DirFS("../../examples")
	seen := 0
	err = fs.WalkDir(examples, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || path.Ext(name) != ".pintle" {
			return err
		}
		seen++
		t.Run(strings.TrimSuffix(name, ".pintle"), func(t *testing.T) {
			checktest.Marked(t, c, examples, name)
		})
		return nil
	})
	require.NoError(t, err)
	require.NotZero(t, seen)
}
