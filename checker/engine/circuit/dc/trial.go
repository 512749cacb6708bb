package dc

import "context"

// Trial solves one network again and again with other numbers, without remembering
// any. It belongs to one goroutine, and so does its solution, which the next Solve
// overwrites.
type Trial struct {
	values   Values
	solution Solution
}

// Trial makes one.
func (c *Compiled) Trial() *Trial {
	t := &Trial{}
	n := len(c.net.Branches)
	t.values = Values{owner: c, g: make([]float64, n), e: make([]float64, n)}
	t.solution.room(c)
	return t
}

// Solve solves with the given switches closed and with these numbers, which replace
// the network's own as in Values. Errors are those of Values and Compiled.Solve.
func (t *Trial) Solve(ctx context.Context, closed Bits, ohm, volt []float64) (*Solution, error) {
	c := t.values.owner
	if err := c.allows(ctx, closed); err != nil {
		return nil, err
	}
	if err := t.values.set(ohm, volt, closed); err != nil {
		return nil, err
	}
	if err := c.solve(ctx, closed, &t.values, &t.solution); err != nil {
		return nil, err
	}
	return &t.solution, nil
}
