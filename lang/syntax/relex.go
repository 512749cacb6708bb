package syntax

// change is where two versions of a text differ.
type change struct {
	prefix int // both begin with so many equal bytes
	oldEnd int // what differs ends here in the old text
	newEnd int // and here in the new one
	delta  int // by how much what follows moved
}

func compare(prev *File, text string) change {
	old := prev.Src.Text
	n := min(len(old), len(text))
	p := commonPrefix(old[:n], text[:n])
	s := commonSuffix(old[p:], text[p:])
	return change{prefix: p, oldEnd: len(old) - s, newEnd: len(text) - s, delta: len(text) - len(old)}
}

const stride = 64

func commonPrefix(a, b string) int {
	n := min(len(a), len(b))
	i := 0
	for i+stride <= n && a[i:i+stride] == b[i:i+stride] {
		i += stride
	}
	for i < n && a[i] == b[i] {
		i++
	}
	return i
}

func commonSuffix(a, b string) int {
	n := min(len(a), len(b))
	i := 0
	for i+stride <= n && a[len(a)-i-stride:len(a)-i] == b[len(b)-i-stride:len(b)-i] {
		i += stride
	}
	for i < n && a[len(a)-i-1] == b[len(b)-i-1] {
		i++
	}
	return i
}

// relex makes the tokens of a text from those of its earlier version: the lines that
// changed are read anew, the others taken over. It relies on no token reaching over the
// end of a line.
func relex(prev *File, text string, c change) Tokens {
	old := prev.Tokens
	n := old.Len()
	// Back to the beginning of the line in which the change begins. One byte of room:
	// what ends right before the change may go on into it.
	first := 0
	if c.prefix > 0 {
		first = max(old.At(c.prefix-1), 0)
		for first > 0 && old[first-1].Kind != Newline {
			first--
		}
	}
	// On to the end of the first line break behind the change.
	rest := n
	if n > 0 {
		i := max(old.At(c.oldEnd), first)
		if int(old[i].start) < c.oldEnd {
			i++
		}
		for ; i < n; i++ {
			if old[i].Kind == Newline {
				rest = i + 1
				break
			}
		}
	}
	out := make(Tokens, first, n+16)
	copy(out, old[:first])
	out = lex(out, text, int(old[first].start), int(old[rest].start)+c.delta)
	delta := int32(c.delta)
	at := len(out)
	out = append(out, old[rest:]...)
	for i := at; i < len(out); i++ {
		out[i].start += delta
	}
	return out
}
