package fieldbus

import (
	"math"

	"holdbench/sequence"
)

// publish writes the inputs of a scan.
func (m *Image) publish(in *sequence.Inputs) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.setInputs(in)
	m.put(PointScan, math.Mod(m.get(PointScan)+1, 1<<16))
}

// setInputs writes inputs; the image is locked.
func (m *Image) setInputs(in *sequence.Inputs) {
	for _, s := range inputs() {
		v := s.InputNumber(in)
		if s.Kind == sequence.KindWord {
			v = float64(max(0, s.InputPlace(in)))
		}
		m.put(s.Name, v)
	}
}

// setOutputs writes outputs as the controller would; the image is locked, or nobody else has it.
func (m *Image) setOutputs(out *sequence.Outputs) {
	for _, s := range outputs() {
		if i, ok := m.places[s.Name]; ok {
			m.put(s.Name, m.points[i].toBus(s.OutputNumber(out)))
		}
	}
}

// told is what the controller has written.
func (m *Image) told(out *sequence.Outputs) (state int, end sequence.EndKind) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, s := range outputs() {
		if i, ok := m.places[s.Name]; ok {
			s.SetOutputNumber(out, m.points[i].toSignal(m.get(s.Name)))
		}
	}
	return int(m.get(PointState)), sequence.EndKind(m.get(PointEnd))
}

// Bits reads bits.
func (m *Image) Bits(a Area, address, count uint16) ([]bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if int(address)+int(count) > len(m.bits[a]) {
		return nil, ErrAddress
	}
	return append([]bool(nil), m.bits[a][address:address+count]...), nil
}

// Words reads registers.
func (m *Image) Words(a Area, address, count uint16) ([]uint16, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if int(address)+int(count) > len(m.words[a]) {
		return nil, ErrAddress
	}
	return append([]uint16(nil), m.words[a][address:address+count]...), nil
}

// WriteBits writes coils.
func (m *Image) WriteBits(address uint16, bits []bool) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if int(address)+len(bits) > len(m.bits[Coils]) {
		return ErrAddress
	}
	m.written++
	if m.get(PointPowered) != 0 {
		copy(m.bits[Coils][address:], bits)
		m.commanded = true // all coils are outputs
	}
	return nil
}

// WriteWords writes holding registers: all of them, or none if one of the values means nothing.
func (m *Image) WriteWords(address uint16, words []uint16) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	all := m.words[HoldingRegisters]
	if int(address)+len(words) > len(all) {
		return ErrAddress
	}
	before := append([]uint16(nil), all...)
	copy(all[address:], words)
	if err := m.check(address, len(words)); err != nil {
		copy(all, before)
		return err
	}
	m.written++
	if m.get(PointPowered) == 0 {
		copy(all, before)
		return nil
	}
	if life := m.points[m.places[PointLife]].Address; all[life] != before[life] {
		m.lifeSeen++
	}
	m.commanded = m.commanded || m.reachesOutput(address, len(words))
	return nil
}

// reachesOutput is whether holding registers are among those of outputs, and not only of life, state and
// end.
func (m *Image) reachesOutput(address uint16, count int) bool {
	from, to := int(address), int(address)+count
	for _, s := range outputs() {
		i, ok := m.places[s.Name]
		if !ok || m.points[i].Area != HoldingRegisters {
			continue
		}
		p := &m.points[i]
		if begin := int(p.Address); begin < to && begin+p.Type.Registers() > from {
			return true
		}
	}
	return false
}

// check refuses values that mean nothing, and numbers of which only a part was written.
func (m *Image) check(address uint16, count int) error {
	from, to := int(address), int(address)+count
	for i := range m.points {
		p := &m.points[i]
		begin, end := int(p.Address), int(p.Address)+p.Type.Registers()
		switch {
		case p.Area != HoldingRegisters || end <= from || begin >= to:
		case begin < from || end > to:
			return ErrAddress
		case !p.means(m.value(p)):
			return ErrValue
		}
	}
	return nil
}

// means is whether a value means something at a point.
func (p *Point) means(v float64) bool {
	switch {
	case p.Type == Real:
		return math.Abs(v) <= maxNumber // no NaN either
	case len(p.Words) > 0:
		return int(v) < len(p.Words)
	}
	return true
}
