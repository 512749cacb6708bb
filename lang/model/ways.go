package model

// SeveralWays reports whether the name of an element's contact or chart stands for several
// ways, so that it has to be said which is meant: both throws of a changeover, the joins of a
// chart.
func (d *Design) SeveralWays(id ElementID) bool {
	if id < 0 || int(id) >= len(d.Elements) {
		return false
	}
	e := &d.Elements[id]
	switch e.Type {
	case ElemContact:
		k := &d.Contacts[e.Of]
		return k.RestElem != None && k.WorkElem != None
	case ElemChart:
		n := 0
		for _, r := range d.Charts[e.Of].Rows {
			n += len(r.Elements)
		}
		return n > 1
	}
	return false
}
