package sequence

// Document is a sequence as written: a state machine over the signals of this
// package. It is plain data; Vet checks it and Compile makes a Program of it.
// Maps of the YAML text whose order matters are ordered slices here.
type Document struct {
	Sequence       string       `yaml:"sequence"` // name
	Note           string       `yaml:"note,omitempty"`
	Start          string       `yaml:"start"`                      // state a run starts in
	AfterPowerLoss string       `yaml:"after_power_loss,omitempty"` // state that the controller starts in when its power returns; "" is Start
	Params         Params       `yaml:"params,omitempty"`
	Roles          Roles        `yaml:"roles,omitempty,flow"` // which parameter is the test torque, the press margin and so on
	States         States       `yaml:"states"`
	Any            []Transition `yaml:"any,omitempty"` // from every state that does not opt out
	Ends           Ends         `yaml:"ends,omitempty"`
}

// Text is a scalar as written: 420, true, move, abs(speed) < 1.
type Text string

// Param is a named constant of the engineering: a number, true or false, or an
// expression over other parameters. Its unit follows from the end of its name.
type Param struct {
	Name  string
	Value Text
	Note  string // the comment at the end of its line
}

// State is one state of the sequence.
type State struct {
	Name       string       `yaml:"-"`
	Note       string       `yaml:"note,omitempty"`
	Keep       Keeps        `yaml:"keep,omitempty,flow"`
	Set        Settings     `yaml:"set,omitempty,flow"`
	Go         []Transition `yaml:"go,omitempty"`
	OptOut     []string     `yaml:"opt_out,omitempty,flow"` // targets of any transitions that it ignores
	SlipsBrake bool         `yaml:"slips_brake,omitempty"`  // travel against the closed brake is meant here
}

// Keep keeps the value of an expression on entry of a state, before the state sets anything,
// under a name that later expressions read. Until a state keeps it, it is 0 or false.
type Keep struct {
	Name  string
	Value Text
}

// Role says what a parameter is, in the words of [RoleWords], so that tools need no names
// of parameters.
type Role struct {
	Role  string
	Param Text
}

// Setting sets an output on entry of a state: a word, free text for
// alarm, or an expression over parameters and inputs.
type Setting struct {
	Output string
	Value  Text
}

// Transition leads to another state. When, For, After and Times must all be
// met; without any of them it fires at once.
type Transition struct {
	To    string `yaml:"to"`
	When  Text   `yaml:"when,omitempty"`  // condition
	For   Text   `yaml:"for,omitempty"`   // how long the condition must have held without a break: 50ms, or a parameter in s
	After Text   `yaml:"after,omitempty"` // least time in the state: 8s, or a parameter in s
	Times Text   `yaml:"times,omitempty"` // most firings a run, a number or a parameter; 0 is never; not written is without limit
	Cause Text   `yaml:"cause,omitempty"` // a word such as brake-not-closed; judge_cause and stop_cause take those of the safety side; under any it does not replace one that is there
}

// End marks a state that ends a run, and how: pass, fail or stop.
type End struct {
	State string
	Kind  Text
}

// Params are written as a map and keep its order.
type Params []Param

// States are written as a map and keep its order.
type States []State

// Roles are written as a map and keep its order.
type Roles []Role

// Keeps are written as a map and keep its order.
type Keeps []Keep

// Settings are written as a map and keep its order.
type Settings []Setting

// Ends are written as a map and keep its order.
type Ends []End

// Values override parameters: name to expression, as a scenario sets them.
type Values map[string]string
