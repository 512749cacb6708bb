package syntax

import "iter"

// Nodes yields every node of a statement's head and clauses in the order of the text,
// each before those inside it: paths, quantities, conditions, words in slots. Arguments
// in parentheses are yielded by what they hold.
func (s *Stmt) Nodes() iter.Seq[Node] {
	return func(yield func(Node) bool) {
		w := walker{yield: yield}
		h := s.Head()
		w.text(h.Text)
		w.cond(h.Cond)
		w.ref(h.From)
		w.ref(h.To)
		for _, c := range s.Clauses() {
			for _, a := range c.Args {
				w.node(a.Node)
			}
		}
	}
}

type walker struct {
	yield func(Node) bool
	done  bool
}

func (w *walker) visit(n Node) {
	w.done = w.done || !w.yield(n)
}

func (w *walker) node(n Node) {
	if w.done || n == nil {
		return
	}
	switch n := n.(type) {
	case *Cond:
		w.cond(n)
	case *Quantity:
		w.quantity(n)
	case *Count:
		w.visit(n)
		w.ref(n.Param)
	case *Refs:
		w.visit(n)
		for _, r := range n.List {
			w.ref(r)
		}
	case *Faults:
		w.visit(n)
		for i := range n.List {
			w.ref(n.List[i].Thing)
			w.ref(n.List[i].Other)
		}
	case *Subject:
		w.subject(n)
	case *Call:
		w.visit(n)
		w.ref(n.Part)
		w.args(n.Args)
	case *Args:
		w.visit(n)
		w.args(n.List)
	default:
		w.visit(n)
	}
}

func (w *walker) args(list []NamedArg) {
	for i := range list {
		a := &list[i]
		w.cond(a.Cond)
		w.quantity(a.Quantity)
		if a.Count != nil {
			w.node(a.Count)
		}
		w.ref(a.Ref)
	}
}

func (w *walker) text(s *Str) {
	if s != nil {
		w.visit(s)
	}
}

func (w *walker) ref(r *Ref) {
	if r != nil {
		w.visit(r)
	}
}

func (w *walker) quantity(q *Quantity) {
	if q != nil {
		w.visit(q)
		w.ref(q.Param)
		w.ref(q.HiParam)
	}
}

func (w *walker) subject(s *Subject) {
	w.visit(s)
	w.ref(s.A)
	w.ref(s.B)
}

func (w *walker) cond(c *Cond) {
	if c == nil || w.done {
		return
	}
	w.visit(c)
	if c.Op == CondTest {
		w.subject(&c.Subject)
	}
	for _, k := range c.Kids {
		w.cond(k)
	}
	w.quantity(c.Value)
	w.quantity(c.Dur)
}
