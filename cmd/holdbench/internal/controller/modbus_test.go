//go:build unix

package controller

import (
	"encoding/binary"
	"io"
	"math/rand/v2"
	"net"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/fieldbus"
)

// served is a bus on a free port, with a run that has begun.
func served(t *testing.T) (*Modbus, string) {
	t.Helper()
	free, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	address := free.Addr().String()
	require.NoError(t, free.Close())
	station := &fieldbus.Station{}
	m, err := ListenModbus(t.Context(), address, station, 1, time.Minute, func() {})
	require.NoError(t, err)
	c, _, err := scenarios.LoadCase("healthy-down", scenarios.Overrides{})
	require.NoError(t, err)
	n := *c
	logic := fieldbus.New(c.Logic, station, m, "test")
	n.Logic, n.Sequence = logic, logic.About()
	m.came <- struct{}{}
	go func() { // the first scan waits for a request that writes
		for b := sim.NewBench(&n, nil); b.Ticks() < 10 && b.Tick(); {
		}
	}()
	require.Eventually(t, func() bool { return station.Image() != nil }, 5*time.Second, time.Millisecond)
	return m, address
}

// Whatever comes over the line, whole requests or parts, the server answers or ends the connection, and
// the next client is served. Nothing is left once it is closed.
func TestAnyRequestsOverModbus(t *testing.T) {
	before := runtime.NumGoroutine()
	m, address := served(t)
	draw := rand.New(rand.NewPCG(15, 6))
	for range 40 {
		c := admitted(t, address)
		for range 40 {
			if _, err := c.Write(request(draw)); err != nil || !answers(c) {
				break
			}
		}
		require.NoError(t, c.Close())
	}
	require.Positive(t, m.Seen().Refused)
	require.NoError(t, m.Close())
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before && time.Now().Before(end); {
		time.Sleep(time.Millisecond)
	}
	require.LessOrEqual(t, runtime.NumGoroutine(), before, "goroutines")
}

// admitted is a client that is served: one that has had the answer to a right request.
func admitted(t *testing.T, address string) net.Conn {
	t.Helper()
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(time.Millisecond) {
		require.True(t, time.Now().Before(end), "no client is served any more")
		c, err := net.Dial("tcp", address)
		require.NoError(t, err)
		if _, err := c.Write([]byte{0, 1, 0, 0, 0, 6, 1, 2, 0, 0, 0, 1}); err == nil && answers(c) { // reads a discrete input
			return c
		}
		_ = c.Close()
	}
}

// answers is whether an answer comes soon.
func answers(c net.Conn) bool {
	_ = c.SetReadDeadline(time.Now().Add(50 * time.Millisecond))
	header := make([]byte, 7)
	if _, err := io.ReadFull(c, header); err != nil {
		return false
	}
	_, err := io.CopyN(io.Discard, c, int64(binary.BigEndian.Uint16(header[4:]))-1)
	return err == nil
}

// request is a request of Modbus over TCP (header and function, from memory), right or not quite.
func request(draw *rand.Rand) []byte {
	functions := []byte{1, 2, 3, 4, 5, 6, 15, 16, 22, 43, 0, 255}
	body := []byte{1, functions[draw.IntN(len(functions))], 0, byte(draw.IntN(60)), 0, byte(draw.IntN(12))}
	for range draw.IntN(10) {
		body = append(body, byte(draw.IntN(256)))
	}
	if draw.IntN(2) == 0 && len(body) > 6 {
		body[6] = byte(len(body) - 7) // a byte count that fits
	}
	length := len(body)
	if draw.IntN(20) == 0 {
		length = draw.IntN(1 << 16)
	}
	head := binary.BigEndian.AppendUint16([]byte{0, byte(draw.IntN(256)), 0, 0}, uint16(length))
	return append(head, body...)
}
