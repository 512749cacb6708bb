// Package dc solves direct-current networks of resistors, sources with inside
// resistance, diodes with a forward drop and on-resistance, and switches.
//
// It knows nothing of vehicles. A caller numbers the nodes, lists the branches, compiles
// them once, and then asks for the solution of any set of closed switches, with the
// network's own values or with others (supply at its lowest, filaments cold):
//
//	c, err := dc.Compile(network)
//	cold, err := c.Values(ohm, volt)
//	s, err := c.Solve(ctx, dc.BitsOf(0, 3), dc.WithValues(cold))
//	s.Potential(n); s.Current(b); s.Piece(n); s.Path(b)
//
// # Method
//
//   - order.go: minimum-degree order of elimination, once, for all branches whether
//     their switch is closed or not;
//   - eliminate.go: star-mesh elimination with EMFs kept in the legs, which is Cholesky's
//     factor of the nodal matrix without any subtraction;
//   - valves.go: which diodes and one-way sources conduct, by a pivoting method that is
//     proved to end, and never silently without a result (ErrUnsettled);
//   - current.go: currents by refinement, so that a microampere in a milliohm is right.
//
// Results are those of the exact solution with every resistance and EMF changed by a
// few roundings of a double. Below a current of Solution.Carries nothing is meant.
//
// # Cost
//
// Time of a gonum dense Cholesky factor and solution of the same nodal matrix over that
// of Solve without table and without diodes, refinement and labelling of pieces
// included, on networks shaped like wiring (BenchmarkSolve):
//
//	nodes    20    50   100   300
//	ratio     3     5     9    25
//
// The dense LU factor takes 1 to 2 times as long as Cholesky's. Even at 20 nodes the own
// elimination wins, and it keeps the digits that the dense ones lose to the spread of
// the resistances; therefore gonum serves in the tests only. All 1,024 states of ten
// switches on sixty nodes with diodes take about 7 ms (BenchmarkStates).
package dc
