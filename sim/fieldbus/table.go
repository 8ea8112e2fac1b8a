package fieldbus

import (
	"slices"

	"holdbench/sequence"
)

// Area is one of the four areas of a Modbus server (Modbus Application Protocol 1.1b3, 4.3, from
// memory).
type Area uint8

// Bits and registers that the controller reads, and those that it writes.
const (
	DiscreteInputs Area = iota
	InputRegisters
	Coils
	HoldingRegisters
	areas
)

// String is the name of the area.
func (a Area) String() string {
	return [areas]string{"discrete input", "input register", "coil", "holding register"}[a]
}

// FromController is whether the controller writes the area.
func (a Area) FromController() bool { return a >= Coils }

// bits is whether the area has bits, and not registers.
func (a Area) bits() bool { return a == DiscreteInputs || a == Coils }

// Type is how a value lies in its registers.
type Type uint8

// The types: a bit, an unsigned number of 16 bits, a number of 32 bits (IEEE 754) in two registers, the
// upper half first.
const (
	Bit Type = iota
	Unsigned
	Real
)

// Registers is how many registers, or bits, a value takes.
func (t Type) Registers() int {
	if t == Real {
		return 2
	}
	return 1
}

// Point is a value at its place on the bus.
type Point struct {
	Name    string
	Area    Area
	Address uint16 // from 0
	Type    Type
	Unit    string
	Words   []string // of a register that has the place of a word, from 0
	Note    string

	order []int // of an output's words: places among those of the signal, by the place on the bus
}

// The points beside the signals.
const (
	PointPowered  = "powered"
	PointRun      = "run"
	PointScan     = "scan"
	PointPowerUps = "power_ups"
	PointState    = "state"
	PointEnd      = "end"
	PointLife     = "life"
)

// Points lists all values on the bus for a functional side, by areas and addresses. Free texts have
// none.
func Points(d *sequence.Description) []Point {
	var list []Point
	next := [areas]uint16{}
	add := func(p Point) {
		p.Address = next[p.Area]
		next[p.Area] += uint16(p.Type.Registers())
		list = append(list, p)
	}
	add(Point{Name: PointPowered, Area: DiscreteInputs, Note: "a run is on or waits for its first command, and the controller has power in it"})
	addSignals(add, sequence.InputSignals(), DiscreteInputs, true)
	add(Point{Name: PointRun, Area: InputRegisters, Type: Unsigned, Note: "number of the run; a new one begins with a controller that has just been switched on"})
	add(Point{Name: PointScan, Area: InputRegisters, Type: Unsigned, Note: "counts the scans of the bench; after 65535 comes 0"})
	add(Point{Name: PointPowerUps, Area: InputRegisters, Type: Unsigned, Note: "how often power has returned in this run: start as then"})
	addSignals(add, sequence.InputSignals(), InputRegisters, false)
	addSignals(add, sequence.OutputSignals(), Coils, true)
	add(Point{Name: PointLife, Area: HoldingRegisters, Type: Unsigned, Note: "change it in every cycle: once it has changed it must go on changing"})
	add(Point{Name: PointState, Area: HoldingRegisters, Type: Unsigned, Words: d.StateNames(), Note: "the present state"})
	add(Point{Name: PointEnd, Area: HoldingRegisters, Type: Unsigned, Words: endWords(), Note: "how the run ended, for a program without these states"})
	addSignals(add, sequence.OutputSignals(), HoldingRegisters, false)
	return list
}

func endWords() []string {
	return []string{sequence.EndNone.String(), sequence.EndPass.String(), sequence.EndFail.String(), sequence.EndStop.String()}
}

// safeFirst are the places of an output's words in the order of the bus: first the word that it has
// without power. A cleared image of the outputs, such as that of a coupler that starts, is then safe.
func safeFirst(s *sequence.Signal) []int {
	without := sequence.PowerUpOutputs()
	safe := int(s.OutputNumber(&without))
	order := []int{safe}
	for i := range s.Words {
		if i != safe {
			order = append(order, i)
		}
	}
	return order
}

// arrange puts the words of an output into the order of the bus.
func (p *Point) arrange(s *sequence.Signal) {
	p.order = safeFirst(s)
	p.Words = make([]string, len(p.order))
	for onBus, place := range p.order {
		p.Words[onBus] = s.Words[place]
	}
}

// toBus is the value on the bus of the value of a signal.
func (p *Point) toBus(v float64) float64 {
	if p.order == nil {
		return v
	}
	return float64(slices.Index(p.order, int(v)))
}

// toSignal is the opposite of toBus, for a value that was checked when it was written.
func (p *Point) toSignal(v float64) float64 {
	if p.order == nil {
		return v
	}
	return float64(p.order[int(v)])
}

// addSignals adds the booleans of a table, or all else that has a place.
func addSignals(add func(Point), table []sequence.Signal, area Area, booleans bool) {
	for i := range table {
		s := &table[i]
		p := Point{Name: s.Name, Area: area, Unit: s.Unit.String(), Words: s.Words, Note: s.Note}
		switch {
		case booleans != (s.Kind == sequence.KindBoolean), s.Kind == sequence.KindWord && len(s.Words) == 0:
			continue
		case s.Kind == sequence.KindNumber:
			p.Type = Real
		case s.Kind == sequence.KindWord:
			p.Type = Unsigned
			if s.Output {
				p.arrange(s)
			}
			if s.Name == "brake_2" { // a register has a value from the beginning
				p.Note = "command to the second brake, if there is one; it does not follow brake"
			}
		}
		add(p)
	}
}
