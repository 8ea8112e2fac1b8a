package safety

import "time"

// Request is what the functional side sends to the safety side.
type Request struct {
	Ask       Directions // none or one of them: in which the closed brake is to be checked
	RequiredA float64    // A, signed by direction, for the judge that compares a current; 0 is never met
	// Released is whether operation is released. It can only take away: access is refused without it, as
	// the functional side can know of a brake that no check of the judge has failed.
	Released bool
}

// Link is the faults of the link in both directions.
type Link struct {
	ToSafety, ToFunctional LinkFaults
}

// LinkFaults is the faults of one direction of the link.
type LinkFaults struct {
	Down bool // no signal arrives, and the watchdog detects it
	Held bool // the last value is repeated, and no watchdog detects it
	// The receiver always reads an ask of the direction that it read last, down before any; or a fresh
	// proof, with the counter that it read last. A stop it reads as it is.
	Stuck bool
	// The counter of verdicts stays at what was read last, and the rest is as it is.
	CountHeld bool
}

// delayLine is one direction of the link: a value comes out a set number of safety scans
// after it went in. While the link is down the last value stays until the watchdog expires;
// then the receiver reads the zero value: no ask, no proof, no failure. It reads no stop either; the stop
// itself acts on drive and brakes without the link.
type delayLine[T any] struct {
	values        [maxLinkDelay + 1]T // newest first
	out           T
	withoutSignal time.Duration
}

const maxLinkDelay = 16

func (d *delayLine[T]) carry(value T, delay int, l *LinkFaults, scan, watchdog time.Duration) T {
	switch {
	case l.Down:
		d.withoutSignal += scan
		if d.withoutSignal >= watchdog {
			clear(d.values[:])
			var safe T
			d.out = safe
		}
		return d.out
	case l.Held:
		return d.out
	}
	d.withoutSignal = 0
	copy(d.values[1:], d.values[:maxLinkDelay])
	d.values[0] = value
	d.out = d.values[min(delay, maxLinkDelay)]
	return d.out
}

// fill starts the line with a value in every place.
func (d *delayLine[T]) fill(value T) {
	for i := range d.values {
		d.values[i] = value
	}
	d.out = value
}
