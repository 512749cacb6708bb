package dc

// A node is eliminated by the star-mesh transform, written for legs that hold an
// EMF. Let node k be joined to nodes i by legs of conductance g(k,i) that hold the
// EMF e(i,k) towards k, and s = sum of g(k,i). Then
//
//	V(k) = sum g(k,i) (V(i) + e(i,k)) / s
//
// and for the others k can be replaced by a mesh: between i and j a branch of
// conductance g(k,i) g(k,j) / s with the EMF e(i,k) - e(j,k). This is Gaussian
// elimination of the nodal matrix, but
//
//   - no diagonal is stored: the pivot s is a sum of positive terms, so that nothing
//     cancels and every conductance of every mesh is right to a few roundings
//     whatever the spread of the resistances. (Grassmann, Taksar and Heyman, Oper.
//     Res. 33 (1985) 1107, for Markov chains; entrywise error analysis: O'Cinneide,
//     Numer. Math. 65 (1993) 109; diagonally dominant M-matrices: Alfa, Xue and Ye,
//     Math. Comp. 71 (2002) 217.)
//   - sources stay EMFs and never become currents into nodes. The Norton current of
//     a 12 V source of 0.1 milliohm is 120 kA, and a rounding of that would drown
//     the microampere that a sender draws. V(k) is a weighted mean instead.
//
// What goes last in its component has no leg left; it is the zero there.

// leak, in siemens, joins the ends of a blocking diode or one-way source. It stands
// for an infinitesimal: 1e-40 S is far below what a double can tell beside MaxOhm,
// yet far above underflow, and the elimination above keeps its full relative
// precision. It gives a piece that only blocking diodes hold a definite place (the
// leaks through them cancel), which is the limit of equal leaks going to zero.
const (
	leak      = 1e-40
	onlyLeaks = 1e30 // 1/s above this: only leaks are left, the node ends its piece
)

// cell is one pair of places r < s: conductance g between them and current
// j = g*e of the EMF in the leg, towards r.
type cell struct{ g, j float64 }

// eliminate runs the transform over all nodes, in place. inv receives 1/s per node,
// 0 where no leg is left.
func (p *plan) eliminate(cells []cell, inv []float64) {
	for k := range inv {
		col := cells[p.start[k]:p.start[k+1]]
		s := 0.0
		for i := range col {
			s += col[i].g
		}
		if s == 0 {
			inv[k] = 0
			continue
		}
		f := 1 / s
		inv[k] = f
		into := p.into[p.pairs[k]:p.pairs[k+1]]
		for i := range col {
			rest := col[i+1:]
			if col[i].g == 0 {
				into = into[len(rest):]
				continue
			}
			a, b := col[i].g*f, col[i].j*f
			for q, c := range rest {
				t := &cells[into[q]]
				t.g += a * c.g
				t.j += a*c.j - b*c.g
			}
			into = into[len(rest):]
		}
	}
}

// potentials fills v, in volts, by place, from an eliminated network.
func (p *plan) potentials(cells []cell, inv, v []float64) {
	for k := len(inv) - 1; k >= 0; k-- {
		lo, hi := p.start[k], p.start[k+1]
		rows := p.row[lo:hi]
		sum := 0.0
		for i, c := range cells[lo:hi] {
			sum += c.g*v[rows[i]] + c.j
		}
		v[k] = sum * inv[k]
	}
}

// response turns y, the currents fed into the nodes in amperes, into the potentials
// that they raise, in volts, with all EMFs at zero. The last node of each piece
// takes up what its piece is fed and stays at zero: leaks carry nothing here.
func (p *plan) response(cells []cell, inv, y []float64) {
	for k, f := range inv {
		if f == 0 || f > onlyLeaks {
			y[k] = 0
			continue
		}
		lo, hi := p.start[k], p.start[k+1]
		rows := p.row[lo:hi]
		y[k] *= f
		x := y[k]
		if x == 0 {
			continue
		}
		for i, c := range cells[lo:hi] {
			y[rows[i]] += c.g * x
		}
	}
	for k := len(inv) - 1; k >= 0; k-- {
		f := inv[k]
		if f == 0 || f > onlyLeaks {
			continue
		}
		lo, hi := p.start[k], p.start[k+1]
		rows := p.row[lo:hi]
		sum := 0.0
		for i, c := range cells[lo:hi] {
			sum += c.g * y[rows[i]]
		}
		y[k] += sum * f
	}
}
