package elaboratetest

import (
	"strings"
	"text/template"
)

// OverrunCut is the overrun cut-off of a carburettor as the trade has it (common practice, no
// source), by its figures: fuel is cut above Cuts with the throttle shut and comes back below
// Resumes. The throttle switch feeds the valve from Feed, the idle controller earths it. A
// heater beside the valve has the same plug.
type OverrunCut struct {
	Feed                      string // where W1, W4 and W7 begin
	Runs, Resumes, Cuts, Most int    // rpm; below Runs there is no vacuum
	PullsIn                   int    // V, of the valve
}

var overrunCut = template.Must(template.New("").Parse(`title "Overrun cut-off"
quantity engine_speed: 0 to {{.Most}} rpm
setting throttle: shut, open
ground block
supply battery: 12 V, from block to stud, anywhere between 9 V and 15 V
origin manifold: vacuum, present when engine_speed at least {{.Runs}} rpm
fit throttle_switch: {
    pin 1, 2
    contact shut: 1 to 2, make, made when throttle is shut
}
fit speed_sender: {
    pin 1
    sender teeth: at 1, tells engine_speed, accuracy 30 rpm
}
fit idle_controller: {
    pin 1, 2, 3, 4
    powered 1 to 2: works from 7 V
    input speed: at 3, reads sender, counts as 0 rpm while disconnected
    threshold overrun: speed, sets above {{.Cuts}} rpm, clears below {{.Resumes}} rpm
    driver cut: earths 4 to 2, when overrun, up to 1 A
}
fit cut_valve: {
    pin 1, 2
    port inlet, outlet: vacuum
    port vent: vacuum, open to air
    coil winding: 1 to 2, 32 ohm, pulls in at {{.PullsIn}} V, drops out at 2 V
    passage fill: inlet to outlet, passes when winding is energised
    passage relieve: vent to outlet, passes when winding is released
}
fit cutter: {
    port diaphragm: vacuum
}
## Beside the valve, with the same plug.
fit heater: {
    pin 1, 2
    load element: 1 to 2, 30 W at 12 V, warm from 60 %
}
connector C1: 2 way, plugs onto cut_valve.1, cut_valve.2, in reach of C2
connector C2: 2 way, plugs onto heater.1, heater.2, in reach of C1
wire W1: {{.Feed}} to throttle_switch.1
wire W2: throttle_switch.2 to C1.1
wire W3: C1.2 to idle_controller.4
wire W4: {{.Feed}} to idle_controller.1
wire W5: idle_controller.2 to block
wire W6: speed_sender.1 to idle_controller.3
wire W7: {{.Feed}} to C2.1
wire W8: C2.2 to block
hose H1: manifold to cut_valve.inlet
hose H2: cut_valve.outlet to cutter.diaphragm
condition fuel_is_cut: cutter.diaphragm is fed
`))

// String is its text, to which a test adds what it claims.
func (o OverrunCut) String() string {
	var b strings.Builder
	if err := overrunCut.Execute(&b, o); err != nil {
		panic(err)
	}
	return b.String()
}
