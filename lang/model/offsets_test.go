package model_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"pintle/lang/model"
	"pintle/lang/unit"
)

func TestOffsets(t *testing.T) {
	var none model.Offsets
	a := none.With(3, unit.Ratio(-5, 2)).With(1, unit.Int(7))
	b := none.With(1, unit.Int(7)).With(3, unit.Int(4)).With(3, unit.Ratio(-5, 2))
	assert.Equal(t, a, b)
	assert.True(t, a.Of(3).Equal(unit.Ratio(-5, 2)))
	assert.True(t, a.Of(1).Equal(unit.Int(7)))
	assert.True(t, a.Of(2).Equal(unit.Int(0)))
	assert.True(t, none.Exact())
	assert.False(t, a.Exact())
	assert.Equal(t, none, a.With(3, unit.Int(0)).With(1, unit.Int(0)))
}
