package circuit

// maxDrawn is how many draws a Memo holds before it forgets those that were not asked for since it
// last did.
const maxDrawn = 1 << 13

// draws looks up the draws of a component; nil where they are not known, or there is no Memo.
func (m *Memo) draws(key string) *draws {
	if m == nil {
		return nil
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	d := m.drawn[key]
	if d == nil {
		if d = m.drawnBefore[key]; d != nil {
			m.enterDraws(key, d)
		}
	}
	return d
}

func (m *Memo) keepDraws(key string, d *draws) {
	if m == nil {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.enterDraws(key, d)
}

func (m *Memo) enterDraws(key string, d *draws) {
	if m.drawn == nil || len(m.drawn) >= maxDrawn {
		m.drawn, m.drawnBefore = map[string]*draws{}, m.drawn
	}
	m.drawn[key] = d
}
