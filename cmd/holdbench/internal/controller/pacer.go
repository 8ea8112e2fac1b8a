package controller

import (
	"context"
	"fmt"
	"sync"
	"time"
)

// standStill is from when on a late scan is no delay of this machine but a run that stood still, such as
// one that was paused on the bench: time goes on from there.
const standStill = 250 * time.Millisecond

// Pacer lets the moments of a run come in real time, and measures how late they come.
type Pacer struct {
	ctx   context.Context
	pace  float64    // simulated over real time, at most 1
	mutex sync.Mutex // of all below

	scan     time.Duration
	anchor   time.Time // the real time of the moment at
	at       time.Duration
	lateness [lateBuckets]int64 // scans by how late they were
	Timing
}

const (
	lateBucket  = 10 * time.Microsecond
	lateBuckets = int(standStill/lateBucket) + 1
)

// Timing is how punctual a run in real time was.
type Timing struct {
	Scans    int64
	Overruns int64         // scans that came later than one scan time
	Stood    int64         // how often time stood still for a quarter of a second or more
	Mean     time.Duration // lateness
	Most     time.Duration
	Within99 time.Duration // 99 % of the scans were no later

	sum time.Duration
}

// NewPacer makes a pacer; the context ends all waiting.
func NewPacer(ctx context.Context, pace float64) *Pacer { return &Pacer{ctx: ctx, pace: pace} }

// Start lets the time of a run begin now; scan is the time between two scans.
func (p *Pacer) Start(scan time.Duration) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.anchor, p.at, p.scan = time.Now(), 0, scan
	p.Timing, p.lateness = Timing{}, [lateBuckets]int64{}
}

// Wait waits for a moment of the run.
func (p *Pacer) Wait(at time.Duration) error {
	p.mutex.Lock()
	due := p.anchor.Add(time.Duration(float64(at-p.at) / p.pace))
	p.mutex.Unlock()
	if err := p.until(due); err != nil {
		return err
	}
	p.note(time.Since(due), at)
	return nil
}

func (p *Pacer) until(due time.Time) error {
	left := time.Until(due)
	if left <= 0 {
		if p.ctx.Err() != nil {
			return interrupted{}
		}
		return nil
	}
	timer := time.NewTimer(left)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-p.ctx.Done():
		return interrupted{}
	}
}

// note counts a scan that came so late.
func (p *Pacer) note(late, at time.Duration) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	late = max(0, late)
	if late >= standStill {
		p.Stood++
		p.anchor, p.at = time.Now(), at
		return
	}
	p.Scans++
	p.sum += late
	p.Most = max(p.Most, late)
	p.lateness[late/lateBucket]++
	if late > time.Duration(float64(p.scan)/p.pace) {
		p.Overruns++
	}
}

// Measured is how punctual the run was until now.
func (p *Pacer) Measured() Timing {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	t := p.Timing
	if t.Scans == 0 {
		return t
	}
	t.Mean = t.sum / time.Duration(t.Scans)
	var seen int64
	for i, n := range p.lateness {
		if seen += n; seen*100 >= t.Scans*99 {
			t.Within99 = min(t.Most, time.Duration(i+1)*lateBucket)
			break
		}
	}
	return t
}

// String tells it in one line.
func (t Timing) String() string {
	text := fmt.Sprintf("%d scans in real time, late by %s on average, 99 %% by at most %s, one by %s; %d overruns", t.Scans,
		t.Mean.Round(lateBucket), t.Within99, t.Most.Round(lateBucket), t.Overruns)
	if t.Stood > 0 {
		text += fmt.Sprintf("; the run stood still for %s or more: %d", standStill, t.Stood)
	}
	return text
}
