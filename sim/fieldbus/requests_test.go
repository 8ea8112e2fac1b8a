package fieldbus_test

import (
	"encoding/binary"
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sim"
	"holdbench/sim/fieldbus"
)

// FuzzRequests is a client on the bus that reads and writes anything while a run goes on: the run comes to its
// end, and its result can be written. A request is a byte for what it is, an address, a count, and words.
func FuzzRequests(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 2, 0, 1, 0, 2})
	f.Add([]byte{1, 0, 0, 0, 3, 1, 0, 1, 2, 0xff, 0xff, 0xff, 0xff, 3, 0, 1, 0, 9})
	f.Add([]byte{0, 0, 0, 0, 2, 0x7f, 0xc0, 0, 0})
	f.Fuzz(func(t *testing.T, text []byte) {
		b := &bus{}
		c := on(t, b, map[string]string{"rig.clock.run_limit": "100ms"})
		b.at = func(time.Duration) { text = request(b.station.Image(), text) }
		r, err := sim.Run(c, nil)
		require.NoError(t, err)
		_, err = json.Marshal(r)
		require.NoError(t, err)
	})
}

// request does what the bytes say, and gives those that are left.
func request(m *fieldbus.Image, text []byte) (rest []byte) {
	word := func() uint16 {
		if len(text) < 2 {
			text = nil
			return 0
		}
		w := binary.BigEndian.Uint16(text)
		text = text[2:]
		return w
	}
	if len(text) == 0 {
		return nil
	}
	kind := text[0]
	text = text[1:]
	address, count := word(), word()
	area := fieldbus.Area(kind / 4 % 4)
	switch kind % 4 {
	case 0:
		words := make([]uint16, count%16)
		for i := range words {
			words[i] = word()
		}
		_ = m.WriteWords(address, words)
	case 1:
		bits := make([]bool, count%16)
		for i := range bits {
			bits[i] = word()%2 == 1
		}
		_ = m.WriteBits(address, bits)
	case 2:
		_, _ = m.Words(area, address, count)
	default:
		_, _ = m.Bits(area, address, count)
	}
	return text
}
