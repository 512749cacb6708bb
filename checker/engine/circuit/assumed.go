package circuit

// Assumed is a choice of how some switches stand, with what follows from it for others:
// conditions on one setting, armature or mode exclude or imply one another. It does not
// change.
type Assumed struct{ k *assignment }

// Assume is the choice that says nothing.
func (c *Circuit) Assume() Assumed { return Assumed{c.facts.nothing()} }

// With is the choice in which one more switch is closed or open; false where that can't be.
func (a Assumed) With(w Switch, closed bool) (Assumed, bool) {
	k := a.k.with(w, closed)
	return Assumed{k}, k != nil
}

// Stands is how a switch stands: Yes closed, No open, Depends not said.
func (a Assumed) Stands(w Switch) Tri { return a.k.known[w] }

// Complete puts every switch of which nothing is said as given, as far as that can be,
// the first ones first.
func (a Assumed) Complete(closed bool) []bool {
	k := a.k
	out := make([]bool, len(k.known))
	for w := range out {
		if k.known[w] == Depends {
			next := k.with(Switch(w), closed)
			if next == nil {
				next = k.with(Switch(w), !closed)
			}
			if next == nil { // neither can be: then it does not matter
				out[w] = closed
				continue
			}
			k = next
		}
	}
	for w, t := range k.known {
		if t != Depends {
			out[w] = t == Yes
		}
	}
	return out
}
