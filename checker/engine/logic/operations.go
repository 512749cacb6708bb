package logic

// Lit is the function "the variable at level is 1".
func (k *Kernel) Lit(level int) Ref { return k.mk(uint32(level), Never, Always) }

// And holds where f and g do.
func (k *Kernel) And(f, g Ref) Ref {
	switch {
	case f == g:
		return f
	case f == g^1, f == Never, g == Never, k.err != nil:
		return Never
	case f == Always:
		return g
	case g == Always:
		return f
	}
	if f > g {
		f, g = g, f
	}
	if c, ok := k.lookup(opAnd, f, g, 0); ok {
		return c.result
	}
	level := min(k.level(f), k.level(g))
	f0, f1 := k.branch(f, level)
	g0, g1 := k.branch(g, level)
	lo := k.And(f0, g0)
	return k.store(opAnd, f, g, 0, k.mk(level, lo, k.And(f1, g1)))
}

// Or holds where f or g does.
func (k *Kernel) Or(f, g Ref) Ref { return k.healthy(k.And(f^1, g^1) ^ 1) }

// Diff holds where f does and g does not.
func (k *Kernel) Diff(f, g Ref) Ref { return k.And(f, g^1) }

// healthy turns the Always that complementing a failed operation would give
// into the Never that is promised after an error.
func (k *Kernel) healthy(f Ref) Ref {
	if k.err != nil {
		return Never
	}
	return f
}

// ITE is "g where f holds, h elsewhere".
func (k *Kernel) ITE(f, g, h Ref) Ref { return k.healthy(k.ite(f, g, h)) }

func (k *Kernel) ite(f, g, h Ref) Ref {
	switch {
	case f == Always:
		return g
	case f == Never:
		return h
	case g == h:
		return g
	case k.err != nil:
		return Never
	}
	if f&1 == 1 {
		f, g, h = f^1, h, g
	}
	switch {
	case g == f || g == Always:
		return k.And(f^1, h^1) ^ 1
	case g == f^1 || g == Never:
		return k.And(f^1, h)
	case h == f || h == Never:
		return k.And(f, g)
	case h == f^1 || h == Always:
		return k.And(f, g^1) ^ 1
	}
	flip := g & 1
	g, h = g^flip, h^flip
	if c, ok := k.lookup(opITE, f, g, h); ok {
		return c.result ^ flip
	}
	level := min(k.level(f), k.level(g), k.level(h))
	f0, f1 := k.branch(f, level)
	g0, g1 := k.branch(g, level)
	h0, h1 := k.branch(h, level)
	lo := k.ite(f0, g0, h0)
	return k.store(opITE, f, g, h, k.mk(level, lo, k.ite(f1, g1, h1))) ^ flip
}

// Cube is the conjunction of the variables at the given levels, the form in
// which Exists and AndExists take them.
func (k *Kernel) Cube(levels []int) Ref {
	cube := Always
	for _, l := range levels {
		cube = k.And(cube, k.Lit(l))
	}
	return cube
}

// Exists holds where f does for some values of the variables of cube.
func (k *Kernel) Exists(f, cube Ref) Ref { return k.healthy(k.exists(f, cube)) }

func (k *Kernel) exists(f, cube Ref) Ref {
	if k.err != nil {
		return Never
	}
	level := k.level(f)
	for k.level(cube) < level { // f does not depend on these
		_, cube = k.branch(cube, k.level(cube))
	}
	if level == terminal || cube == Always {
		return f
	}
	if c, ok := k.lookup(opExists, f, cube, 0); ok {
		return c.result
	}
	f0, f1 := k.branch(f, level)
	if k.level(cube) != level {
		lo := k.exists(f0, cube)
		return k.store(opExists, f, cube, 0, k.mk(level, lo, k.exists(f1, cube)))
	}
	_, rest := k.branch(cube, level)
	r := k.exists(f0, rest)
	if r != Always {
		r = k.And(r^1, k.exists(f1, rest)^1) ^ 1
	}
	return k.store(opExists, f, cube, 0, r)
}

// AndExists is Exists(And(f, g), cube) without building the conjunction.
func (k *Kernel) AndExists(f, g, cube Ref) Ref { return k.healthy(k.andExists(f, g, cube)) }

func (k *Kernel) andExists(f, g, cube Ref) Ref {
	switch {
	case f == Never, g == Never, f == g^1, k.err != nil:
		return Never
	case f == Always || f == g:
		return k.exists(g, cube)
	case g == Always:
		return k.exists(f, cube)
	}
	level := min(k.level(f), k.level(g))
	for k.level(cube) < level {
		_, cube = k.branch(cube, k.level(cube))
	}
	if cube == Always {
		return k.And(f, g)
	}
	if f > g {
		f, g = g, f
	}
	if c, ok := k.lookup(opAndExists, f, g, cube); ok {
		return c.result
	}
	f0, f1 := k.branch(f, level)
	g0, g1 := k.branch(g, level)
	if k.level(cube) != level {
		lo := k.andExists(f0, g0, cube)
		return k.store(opAndExists, f, g, cube, k.mk(level, lo, k.andExists(f1, g1, cube)))
	}
	_, rest := k.branch(cube, level)
	r := k.andExists(f0, g0, rest)
	if r != Always {
		r = k.And(r^1, k.andExists(f1, g1, rest)^1) ^ 1
	}
	return k.store(opAndExists, f, g, cube, r)
}

// Cofactor is f with the variables of a minterm (a conjunction of literals)
// set to the values that it gives them.
func (k *Kernel) Cofactor(f, minterm Ref) Ref { return k.healthy(k.cofactor(f, minterm)) }

func (k *Kernel) cofactor(f, m Ref) Ref {
	if k.err != nil {
		return Never
	}
	level := k.level(f)
	for k.level(m) < level {
		_, m = k.follow(m)
	}
	if level == terminal || m == Always {
		return f
	}
	flip := f & 1
	f ^= flip
	if c, ok := k.lookup(opCofactor, f, m, 0); ok {
		return c.result ^ flip
	}
	f0, f1 := k.branch(f, level)
	var r Ref
	if k.level(m) == level {
		one, rest := k.follow(m)
		if one {
			r = k.cofactor(f1, rest)
		} else {
			r = k.cofactor(f0, rest)
		}
	} else {
		lo := k.cofactor(f0, m)
		r = k.mk(level, lo, k.cofactor(f1, m))
	}
	return k.store(opCofactor, f, m, 0, r) ^ flip
}

// follow takes the only branch of a conjunction of literals that is not Never.
func (k *Kernel) follow(m Ref) (one bool, rest Ref) {
	lo, hi := k.branch(m, k.level(m))
	if lo == Never {
		return true, hi
	}
	return false, lo
}

// Renaming registers a map from level to level for Rename.
func (k *Kernel) Renaming(to []int) int {
	table := make([]uint32, len(to))
	for i, l := range to {
		table[i] = uint32(l)
	}
	k.renames = append(k.renames, table)
	return len(k.renames) - 1
}

// Rename replaces each variable of f as the renaming says; levels beyond the
// map stay. Two variables of f must not become one.
func (k *Kernel) Rename(f Ref, renaming int) Ref { return k.healthy(k.rename(f, renaming)) }

func (k *Kernel) rename(f Ref, renaming int) Ref {
	level := k.level(f)
	if level == terminal || k.err != nil {
		return f
	}
	flip := f & 1
	f ^= flip
	op := opRename + uint32(renaming)
	if c, ok := k.lookup(op, f, 0, 0); ok {
		return c.result ^ flip
	}
	f0, f1 := k.branch(f, level)
	lo, hi := k.rename(f0, renaming), k.rename(f1, renaming)
	if table := k.renames[renaming]; int(level) < len(table) {
		level = table[level]
	}
	var r Ref
	if level < k.level(lo) && level < k.level(hi) {
		r = k.mk(level, lo, hi)
	} else { // the map turns the order round here
		r = k.ite(k.mk(level, Never, Always), hi, lo)
	}
	return k.store(op, f, 0, 0, r) ^ flip
}
