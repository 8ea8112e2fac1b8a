package st

import (
	"errors"
	"fmt"
	"time"
)

// DefaultBudget is how many steps one scan may take: statements that are begun and turns of
// loops.
const DefaultBudget = 100_000

// Machine is an instance of a PROGRAM or of a FUNCTION_BLOCK that runs by itself. It belongs to
// one goroutine.
type Machine struct {
	program *Program
	block   *Block
	run     run
	body    action
	budget  int64
	started bool
	last    time.Duration
	failure error
}

// RuntimeError is the error that stops a program in its run.
type RuntimeError struct {
	File         string
	Line, Column int // from 1
	Message      string
}

// Error is file:line:column: message.
func (e *RuntimeError) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", e.File, e.Line, e.Column, e.Message)
}

// New makes an instance at its beginning.
func (p *Program) New(block *Block) (*Machine, error) {
	if err := block.runs(); err != nil {
		return nil, fmt.Errorf("%s: %w", p.File, err)
	}
	b := p.bodies[block]
	slots := block.layout.slots
	m := &Machine{program: p, block: block, body: b.run, budget: DefaultBudget}
	m.run.text = make([]byte, p.scratch)
	m.power(make([]uint64, slots+b.stack))
	return m, nil
}

// Program is the program of the instance.
func (m *Machine) Program() *Program { return m.program }

// Block is of which block it is an instance.
func (m *Machine) Block() *Block { return m.block }

// SetBudget sets how many steps a scan may take. It acts from the next scan on.
func (m *Machine) SetBudget(steps int) { m.budget = int64(steps) }

// Steps are those that the last scan has taken.
func (m *Machine) Steps() int { return int(m.budget - m.run.left) }

// Failure is the error that has stopped the instance; nil while it runs.
func (m *Machine) Failure() error { return m.failure }

// Scan runs the block once. now is the time at which the scan begins and must not go back; timers
// count what passes between the scans of one power-up. An error, of type *RuntimeError unless now
// is wrong, stops the instance: each further scan returns it again and does nothing.
//
// Nothing is allocated unless the scan fails.
func (m *Machine) Scan(now time.Duration) error {
	if m.failure != nil {
		return m.failure
	}
	if m.started {
		if now < m.last {
			m.failure = errors.New("the time of the scan goes back")
			return m.failure
		}
		m.run.now += int64(now - m.last)
	}
	m.started, m.last = true, now
	m.execute()
	return m.failure
}

func (m *Machine) execute() {
	m.run.left = m.budget
	defer m.stop()
	m.body(&m.run)
}

// stop makes a failure of a fault.
func (m *Machine) stop() {
	p := recover()
	if p == nil {
		return
	}
	f, ok := p.(*fault)
	if !ok {
		panic(p)
	}
	line, column := m.program.src.place(f.at)
	m.failure = &RuntimeError{m.program.File, line, column, f.message}
}

// Stop stops the instance from outside, as a watchdog does.
func (m *Machine) Stop(reason error) { m.failure = reason }

// Copy is an instance in the same state that runs on by itself.
func (m *Machine) Copy() *Machine {
	c := *m
	c.run.mem = append([]uint64(nil), m.run.mem...)
	c.run.text = make([]byte, len(m.run.text))
	c.run.f = c.run.mem
	return &c
}

// power sets a memory up as at the beginning.
func (m *Machine) power(mem []uint64) {
	l := m.block.layout
	copy(mem, l.image)
	m.run.mem, m.run.f, m.run.base, m.run.top = mem, mem, 0, l.slots
}

// PowerCycle is a loss of power and its return: all variables have their initial values but
// those that are RETAIN. The time of the program stands still meanwhile.
func (m *Machine) PowerCycle() {
	old := m.run.mem
	m.power(make([]uint64, len(old)))
	for _, s := range m.block.layout.kept {
		copy(m.run.mem[s.from:s.to], old[s.from:s.to])
	}
	m.started, m.failure = false, nil
}
