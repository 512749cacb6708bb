package rule

import "sync"

// Shared is something worked out at most once for a design (or for a root file,
// where Pass.Design is nil) and handed to every rule that asks for it. Declare it
// as a package variable:
//
//	var partitions = rule.Share(func(p *rule.Pass) []partition { … })
//
// and ask for it in a rule with partitions.Of(p).
type Shared[T any] struct{ compute func(*Pass) T }

// Share declares something shared. The function must depend on nothing but the
// pass, and must not report.
func Share[T any](compute func(*Pass) T) *Shared[T] { return &Shared[T]{compute} }

// Of returns what is shared for the pass, working it out if nobody asked before.
// If working it out panicked, asking again panics again without a second attempt.
func (s *Shared[T]) Of(p *Pass) T {
	once, ok := p.shared[s]
	if !ok {
		if p.shared == nil {
			p.shared = map[any]func() any{}
		}
		once = sync.OnceValue(func() any { return s.compute(p) })
		p.shared[s] = once
	}
	return once().(T)
}

// known returns what is shared if it was asked for already and worked out.
func (s *Shared[T]) known(p *Pass) (out T, ok bool) {
	once, asked := p.shared[s]
	if !asked {
		return out, false
	}
	defer func() {
		if recover() != nil {
			ok = false // working it out had failed
		}
	}()
	return once().(T), true
}
