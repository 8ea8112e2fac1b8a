package trendcmd

import (
	"math"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/sim/trend"
)

// trendObject is what was found as one object.
type trendObject struct {
	Rig     string        `json:"rig"`
	Axis    string        `json:"axis"` // days or tests
	AsOf    *trend.Moment `json:"as_of"`
	Since   *trend.Moment `json:"since"` // first test that counts
	Horizon float64       `json:"horizon"`
	Level   float64       `json:"level"`  // largest chance of a false trend in any quantity, a look
	Tested  int           `json:"tested"` // quantities, with the level shared among them by Holm's method
	Finding bool          `json:"finding"`

	Quantities []quantityObject `json:"quantities"`
	Tests      []testObject     `json:"tests"`
	Notes      []string         `json:"notes"`
	Version    string           `json:"version"`
}

// testObject is one test.
type testObject struct {
	Name    string `json:"name"`
	Date    string `json:"date"`
	SHA256  string `json:"sha256"` // of the recording
	Verdict string `json:"verdict"`
	Cause   string `json:"cause"`
	Against string `json:"requirement"` // judge, recorded, assumed: sized, test-torque; empty: not known
	Counts  bool   `json:"counts"`      // false: before --since
}

// quantityObject is what was found in one quantity.
type quantityObject struct {
	Quantity string         `json:"quantity"`
	Unit     string         `json:"unit"`
	Tests    int            `json:"tests"`       // that show it
	Trend    int            `json:"trend_tests"` // from which the trend is taken, the newest
	Values   []valueObject  `json:"values"`
	Changes  []changeObject `json:"changes"`

	Slope      *slopeObject      `json:"slope"`      // null: too few tests
	PValue     *float64          `json:"p_value"`    // of Mann and Kendall
	PAdjusted  *float64          `json:"p_adjusted"` // for the number of quantities
	Found      bool              `json:"found"`
	Lag1       *float64          `json:"lag_1"`     // autocorrelation of residuals
	Dependent  bool              `json:"dependent"` // neighbouring tests are more alike than independent ones
	Limit      *limitObject      `json:"limit"`
	Projection *projectionObject `json:"projection"` // null: the values approach no limit

	Advice  string        `json:"advice"` // no-trend, trend, watch, service or limit-reached
	Why     string        `json:"why"`
	Before  *trend.Moment `json:"before"` // of a service
	Finding bool          `json:"finding"`
}

type valueObject struct {
	trend.Moment
	Value float64 `json:"value"`
}

type changeObject struct {
	After  trend.Moment `json:"after"`
	Before trend.Moment `json:"before"`
	Shift  float64      `json:"shift"`
	PValue float64      `json:"p_value"`
}

type slopeObject struct {
	Per        float64 `json:"per"` // days, or tests
	Value      float64 `json:"value"`
	Low        float64 `json:"low"`
	High       float64 `json:"high"`
	Confidence float64 `json:"confidence"`
}

type limitObject struct {
	Low  *float64 `json:"low"`
	High *float64 `json:"high"`
	From string   `json:"from"`
}

// projectionObject is when the limit is met; null: not within a hundred years or a million tests.
type projectionObject struct {
	Limit      float64       `json:"limit"`
	Meets      *trend.Moment `json:"meets"`
	Earliest   *trend.Moment `json:"earliest"`
	Latest     *trend.Moment `json:"latest"`
	Confidence float64       `json:"confidence"`
}

// JSON is what trend --json prints, for its schema.
func JSON() any { return trendObject{} }

func (z *followed) object() trendObject {
	h, r := z.history, z.report
	o := trendObject{
		Rig: h.Tests[0].Rig, Axis: h.Unit(), AsOf: &r.AsOf, Since: h.Moment(h.Place(h.Since)), Horizon: r.Horizon,
		Level: trend.Level, Tested: r.Tested, Finding: z.finding(), Notes: append([]string{}, h.Notes...), Version: command.Version(),
	}
	for i := range h.Tests {
		t := &h.Tests[i]
		o.Tests = append(o.Tests, testObject{t.Name, dateText(h, i), t.Recording, t.Verdict, t.Cause, t.Requirement, i >= h.Since})
	}
	for i := range r.Trends {
		o.Quantities = append(o.Quantities, z.quantity(&r.Trends[i]))
	}
	return o
}

func dateText(h *trend.History, test int) string {
	if !h.Dated {
		return ""
	}
	return h.Moment(h.Place(test)).Date
}

func (z *followed) quantity(t *trend.Trend) quantityObject {
	s, h := t.Series, z.history
	o := quantityObject{
		Quantity: s.Quantity.Name, Unit: s.Quantity.Unit, Tests: len(s.Values), Trend: t.Tests(), Values: []valueObject{}, Changes: []changeObject{},
		Found: t.Found, Advice: t.Word, Why: t.Why, Before: t.Before, Finding: t.Finding,
	}
	for i, value := range s.Values {
		o.Values = append(o.Values, valueObject{*h.Moment(s.Times[i]), value})
	}
	for _, c := range t.Changes {
		o.Changes = append(o.Changes, changeObject(c))
	}
	if t.Enough() {
		per := h.Per()
		o.Slope = &slopeObject{per, per * t.Line.Slope, per * t.Line.Interval.Low, per * t.Line.Interval.High, trend.SlopeConfidence}
		o.PValue, o.PAdjusted, o.Lag1, o.Dependent = &t.PValue, &t.Holm, &t.Serial.Lag1, t.Serial.Dependent()
	}
	if l := s.Limit; l != nil {
		o.Limit = &limitObject{known(l.Low), known(l.High), l.From}
	}
	if p := t.Meets; p != nil {
		o.Projection = &projectionObject{p.Limit, h.Moment(p.Meets), h.Moment(p.Earliest), h.Moment(p.Latest), trend.ProjectionConfidence}
	}
	return o
}

// known is a number, nil if it is none.
func known(x float64) *float64 {
	if math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// proven counts the tests with a proof.
func (z *followed) proven() (n int) {
	for i := range z.history.Tests {
		if z.history.Tests[i].Proven() {
			n++
		}
	}
	return n
}
