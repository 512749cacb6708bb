package session

import (
	"fmt"
	"sync/atomic"

	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/lang/syntax"
)

// Counts reports how much work was done, as opposed to taken from what was kept.
type Counts struct {
	Texts      atomic.Int64 // parsed, at least in part
	Statements atomic.Int64 // parsed anew
	Elaborated atomic.Int64 // roots
	Quick      atomic.Int64 // roots looked at by the cheap rules
	Full       atomic.Int64 // roots looked at by all rules
	Reused     atomic.Int64 // verdicts that were still good after a change
	Abandoned  atomic.Int64 // checks given up because of a newer text
	// Circuits remembers what was decided about circuits, and counts how often that was
	// of use.
	Circuits *circuit.Memo
}

func (c *Counts) parsed(t *syntax.File) {
	c.Texts.Add(1)
	c.Statements.Add(int64(t.Reparsed))
}

// Elaborated and Checked implement ide.Counter.
type counter struct{ *Counts }

func (c counter) Elaborated(string) { c.Counts.Elaborated.Add(1) }

func (c counter) Checked(_ string, upto rule.Need) {
	if upto == 0 {
		c.Full.Add(1)
	} else {
		c.Quick.Add(1)
	}
}

func (c *Counts) String() string {
	found, decided := c.Circuits.Counts()
	return fmt.Sprintf("texts %d, statements %d, elaborated %d, quick %d, full %d, reused %d, abandoned %d, circuits decided %d, remembered %d",
		c.Texts.Load(), c.Statements.Load(), c.Elaborated.Load(), c.Quick.Load(), c.Full.Load(),
		c.Reused.Load(), c.Abandoned.Load(), decided, found)
}
