package fieldbus

import (
	"sync"

	"holdbench/sequence"
)

//nolint:gochecknoglobals // made once, never changed
var (
	inputs  = sync.OnceValue(sequence.InputSignals)
	outputs = sync.OnceValue(sequence.OutputSignals)
)
