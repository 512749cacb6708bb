package elaborate_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/lang/model"
)

// What may mean two things is not known, so that nothing is concluded from either reading.
func TestDoubtful(t *testing.T) {
	text := `setting key: off, run
setting door: shut, open
ground g
node a, b
contact S1: a to b, make, made when key is run and door is open or door is shut
condition c: key is run or door is open and door is shut
require r: key is run whenever key is off and door is open or door is shut
require for_long: always not key is run for 2 s
`
	r := elaborated(t, map[string]string{"a.pintle": text}, "a.pintle")
	assert.Empty(t, r.Findings)
	assert.Len(t, r.Files[0].Findings, 4)
	require.NotEmpty(t, r.Designs)
	d := r.Designs[0]
	assert.False(t, d.Contacts[0].Made.Known())
	assert.True(t, d.Contacts[0].Broken)
	for i := range d.Requirements {
		assert.Equal(t, model.CondUnknown, d.Requirements[i].A.Op)
	}
}
