package controller

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log"
	"sync"
	"time"

	"github.com/simonvetter/modbus"

	"holdbench/sim/fieldbus"
)

// Modbus is a server of Modbus over TCP, through which a controller takes part in a run in real time.
type Modbus struct {
	*Pacer
	ctx     context.Context
	cancel  context.CancelFunc // ends all waiting
	station *fieldbus.Station
	silent  time.Duration // after which a controller is silent
	waiting func()
	server  *modbus.ModbusServer

	mutex  sync.Mutex // of all below
	came   chan struct{}
	heard  time.Time // the newest request that wrote
	living time.Time // the newest change of life; zero if it has never changed
	life   int64
	Traffic
}

// Traffic is what a client has done in a run.
type Traffic struct {
	Requests, Writes, Refused int64
	LongestGap                time.Duration // between two requests that write
}

// ListenModbus serves a station on an address, with so much simulated over real time. Waiting is called
// when a run waits for its first command.
func ListenModbus(ctx context.Context, address string, station *fieldbus.Station, pace float64, silent time.Duration, waiting func()) (*Modbus, error) {
	ctx, cancel := context.WithCancel(ctx)
	m := &Modbus{Pacer: NewPacer(ctx, pace), ctx: ctx, cancel: cancel, station: station, silent: silent, waiting: waiting, came: make(chan struct{}, 1)}
	const idle = 30 * time.Second // after which the place of a client that has left without a word is free
	server, err := modbus.NewServer(&modbus.ServerConfiguration{
		URL: "tcp://" + address, Timeout: max(idle, 2*silent), MaxClients: 1, Logger: log.New(io.Discard, "", 0),
	}, m)
	if err != nil {
		cancel()
		return nil, fmt.Errorf("server of Modbus: %w", err)
	}
	if err := server.Start(); err != nil {
		cancel()
		return nil, PlainNetError(err)
	}
	m.server = server
	return m, nil
}

// Close ends the server, its client, and a run that waits.
func (m *Modbus) Close() error {
	m.cancel()
	return m.server.Stop()
}

// Begin waits for the first request that writes an output, with which the run begins. Until then nothing
// holds the load for a client that only lives.
func (m *Modbus) Begin(scan time.Duration) error {
	m.mutex.Lock()
	m.Traffic, m.living, m.life = Traffic{}, time.Time{}, 0
	select {
	case <-m.came: // of the run before
	default:
	}
	m.mutex.Unlock()
	m.waiting()
	for image := m.station.Image(); !image.Commanded(); {
		select {
		case <-m.came:
		case <-m.ctx.Done():
			return interrupted{}
		}
	}
	m.mutex.Lock()
	m.heard = time.Now() // the command was written, and may not be noted yet
	m.mutex.Unlock()
	m.Start(scan)
	return nil
}

// Silent tells a client that has written nothing, or has not changed life, for too long.
func (m *Modbus) Silent() string {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	now := time.Now()
	switch {
	case now.Sub(m.heard) > m.silent:
		return fmt.Sprintf("nothing was written over Modbus for %s", m.silent)
	case !m.living.IsZero() && now.Sub(m.living) > m.silent:
		return fmt.Sprintf("life has not changed for %s", m.silent)
	}
	return ""
}

// Seen is what the client has done.
func (m *Modbus) Seen() Traffic {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return m.Traffic
}

// String tells it in one line.
func (t Traffic) String() string {
	return fmt.Sprintf("%d requests, %d of them writing, at most %s apart; %d refused", t.Requests, t.Writes, t.LongestGap.Round(100*time.Microsecond), t.Refused)
}

// done notes a request and gives its error as the protocol has it.
func (m *Modbus) done(wrote bool, err error) error {
	var life int64
	if image := m.station.Image(); image != nil {
		_, life = image.Activity()
	}
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.Requests++
	if err != nil {
		m.Refused++
		if errors.Is(err, errNoRun) {
			return modbus.ErrServerDeviceBusy
		}
		if errors.Is(err, fieldbus.ErrAddress) {
			return modbus.ErrIllegalDataAddress
		}
		return modbus.ErrIllegalDataValue
	}
	if !wrote {
		return nil
	}
	now := time.Now()
	if m.Writes++; m.Writes > 1 {
		m.LongestGap = max(m.LongestGap, now.Sub(m.heard))
	}
	m.heard = now
	if life > m.life {
		m.life, m.living = life, now
	}
	select {
	case m.came <- struct{}{}:
	default:
	}
	return nil
}

// errNoRun is the answer before the first run.
var errNoRun = errors.New("there is no run yet")

// write does a request that writes.
func (m *Modbus) write(do func(*fieldbus.Image) error) error {
	image := m.station.Image()
	if image == nil {
		return m.done(true, errNoRun)
	}
	return m.done(true, do(image))
}

// HandleCoils reads and writes coils.
func (m *Modbus) HandleCoils(r *modbus.CoilsRequest) ([]bool, error) {
	if r.IsWrite {
		return nil, m.write(func(i *fieldbus.Image) error { return i.WriteBits(r.Addr, r.Args) })
	}
	return m.bits(fieldbus.Coils, r.Addr, r.Quantity)
}

// HandleDiscreteInputs reads discrete inputs.
func (m *Modbus) HandleDiscreteInputs(r *modbus.DiscreteInputsRequest) ([]bool, error) {
	return m.bits(fieldbus.DiscreteInputs, r.Addr, r.Quantity)
}

// HandleHoldingRegisters reads and writes holding registers.
func (m *Modbus) HandleHoldingRegisters(r *modbus.HoldingRegistersRequest) ([]uint16, error) {
	if r.IsWrite {
		return nil, m.write(func(i *fieldbus.Image) error { return i.WriteWords(r.Addr, r.Args) })
	}
	return m.words(fieldbus.HoldingRegisters, r.Addr, r.Quantity)
}

// HandleInputRegisters reads input registers.
func (m *Modbus) HandleInputRegisters(r *modbus.InputRegistersRequest) ([]uint16, error) {
	return m.words(fieldbus.InputRegisters, r.Addr, r.Quantity)
}

func (m *Modbus) bits(a fieldbus.Area, address, count uint16) ([]bool, error) {
	image := m.station.Image()
	if image == nil {
		return nil, m.done(false, errNoRun)
	}
	bits, err := image.Bits(a, address, count)
	return bits, m.done(false, err)
}

func (m *Modbus) words(a fieldbus.Area, address, count uint16) ([]uint16, error) {
	image := m.station.Image()
	if image == nil {
		return nil, m.done(false, errNoRun)
	}
	words, err := image.Words(a, address, count)
	return words, m.done(false, err)
}
