package fieldbus

import (
	"errors"
	"math"
	"sync"

	"holdbench/sequence"
)

// Image has the values on the bus. Both sides may use it at the same time; what is read or written at
// once belongs together.
type Image struct {
	about  *sequence.Description
	points []Point
	places map[string]int // of a point, by its name; inputs and outputs share no name

	mu       sync.Mutex
	bits     [areas][]bool
	words    [areas][]uint16
	run      uint16
	written  int64 // requests, in this run
	lifeSeen int64 // changes of life, in this run

	commanded bool // an output was written, in this run
}

// ErrAddress refuses a place that does not exist or that holds a part of a number; ErrValue a value that
// means nothing.
var (
	ErrAddress = errors.New("there is no such place, or only a part of a number would be written")
	ErrValue   = errors.New("the value is no word of the register, or not a number from -1e6 to 1e6")
)

// maxNumber bounds the size of each number that is written, as for controllers elsewhere.
const maxNumber = 1e6

// NewImage makes an image for a functional side, as before the first run.
func NewImage(d *sequence.Description) *Image {
	m := &Image{about: d, points: Points(d), places: map[string]int{}}
	for i := range m.points {
		p := &m.points[i]
		m.places[p.Name] = i
		end := int(p.Address) + p.Type.Registers()
		if p.Area.bits() {
			m.bits[p.Area] = make([]bool, end)
		} else {
			m.words[p.Area] = make([]uint16, end)
		}
	}
	return m
}

// Points are the values on the bus.
func (m *Image) Points() []Point { return m.points }

// begin lets a run wait for its first command. The controller can read the inputs of the first scan; its
// outputs are those of one without power.
func (m *Image) begin(in *sequence.Inputs) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.run++
	m.written, m.lifeSeen, m.commanded = 0, 0, false
	out := sequence.PowerUpOutputs()
	m.setOutputs(&out)
	m.setInputs(in)
	m.put(PointState, float64(m.about.Start))
	m.put(PointEnd, 0)
	m.put(PointLife, 0)
	m.put(PointRun, float64(m.run))
	m.put(PointScan, 0)
	m.put(PointPowerUps, 0)
	m.put(PointPowered, 1)
}

// end takes the power from the controller: its outputs are safe, and what it writes has no effect.
func (m *Image) end() {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := sequence.PowerUpOutputs()
	m.setOutputs(&out)
	m.put(PointPowered, 0)
}

// powerUp starts the controller anew.
func (m *Image) powerUp() {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := sequence.PowerUpOutputs()
	m.setOutputs(&out)
	m.put(PointState, float64(m.about.PowerUp))
	m.put(PointPowered, 1)
	m.put(PointPowerUps, m.get(PointPowerUps)+1)
}

// Activity is how many requests have written in this run, and how often life has changed.
func (m *Image) Activity() (written, life int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.written, m.lifeSeen
}

// Commanded is whether an output was written in this run, be it with the value that it had.
func (m *Image) Commanded() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.commanded
}

// put writes a value at its point; the image is locked, or nobody else has it.
func (m *Image) put(name string, v float64) {
	p := &m.points[m.places[name]]
	switch p.Type {
	case Bit:
		m.bits[p.Area][p.Address] = v != 0
	case Unsigned:
		m.words[p.Area][p.Address] = uint16(int64(v))
	case Real:
		bits := math.Float32bits(float32(v))
		m.words[p.Area][p.Address], m.words[p.Area][p.Address+1] = uint16(bits>>16), uint16(bits)
	}
}

// get is the opposite of put.
func (m *Image) get(name string) float64 { return m.value(&m.points[m.places[name]]) }

func (m *Image) value(p *Point) float64 {
	switch p.Type {
	case Bit:
		if m.bits[p.Area][p.Address] {
			return 1
		}
		return 0
	case Unsigned:
		return float64(m.words[p.Area][p.Address])
	}
	words := m.words[p.Area][p.Address:]
	return float64(math.Float32frombits(uint32(words[0])<<16 | uint32(words[1])))
}
