package model

// EachCond calls f for every condition that stands anywhere in the design: those of
// EachStateCond, then what drives expect to see.
func (d *Design) EachCond(f func(*Cond)) {
	d.EachStateCond(f)
	for i := range d.Drives {
		for j := range d.Drives[i].Steps {
			for _, e := range d.Drives[i].Steps[j].Sees {
				if e.Cond != nil {
					f(e.Cond)
				}
				if e.Once != nil {
					f(e.Once)
				}
			}
		}
	}
}

// EachStateCond calls f for every condition that decides what the design does or that it
// claims of all its states, in the order of its tables; nil ones are left out. Conditions
// that one thing takes over from another (a driver's Closed from its When) are visited in
// each place.
func (d *Design) EachStateCond(f func(*Cond)) {
	add := func(conds ...*Cond) {
		for _, c := range conds {
			if c != nil {
				f(c)
			}
		}
	}
	for i := range d.Elements {
		add(d.Elements[i].Closed)
	}
	for i := range d.Supplies {
		add(d.Supplies[i].While)
	}
	for i := range d.Contacts {
		add(d.Contacts[i].When, d.Contacts[i].Made)
	}
	for i := range d.Drivers {
		add(d.Drivers[i].When, d.Drivers[i].On)
	}
	for i := range d.Origins {
		add(d.Origins[i].Present)
	}
	for i := range d.Passages {
		add(d.Passages[i].Open)
	}
	for i := range d.Memories {
		for j := range d.Memories[i].Rules {
			add(d.Memories[i].Rules[j].When)
		}
	}
	for i := range d.Machines {
		for j := range d.Machines[i].Transitions {
			add(d.Machines[i].Transitions[j].When)
		}
		add(d.Machines[i].Reset)
	}
	for i := range d.Timers {
		add(d.Timers[i].Run, d.Timers[i].Stop)
		for j := range d.Timers[i].Cases {
			add(d.Timers[i].Cases[j].When)
		}
	}
	for i := range d.Beats {
		add(d.Beats[i].While)
	}
	for i := range d.Edges {
		add(d.Edges[i].Of)
	}
	for i := range d.Conditions {
		add(d.Conditions[i].Cond)
	}
	for i := range d.Results {
		for j := range d.Results[i].Rows {
			add(d.Results[i].Rows[j].When)
		}
	}
	for i := range d.Bands {
		add(d.Bands[i].While)
		for j := range d.Bands[i].Bands {
			add(d.Bands[i].Bands[j].Claim, d.Bands[i].Bands[j].In)
		}
	}
	d.eachClaim(add)
}

// eachClaim visits the conditions of what is claimed and assumed.
func (d *Design) eachClaim(add func(...*Cond)) {
	for i := range d.Assumptions {
		add(d.Assumptions[i].Cond)
	}
	for i := range d.Requirements {
		add(d.Requirements[i].A, d.Requirements[i].B)
	}
	for i := range d.Symptoms {
		add(d.Symptoms[i].Cond)
	}
	for i := range d.Notices {
		add(d.Notices[i].Shows, d.Notices[i].Refuses, d.Notices[i].Before)
	}
}
