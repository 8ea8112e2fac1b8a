package identifycmd

import (
	"math"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant/identify"
)

// identifyObject is a result as one object. What has no number is left out.
type identifyObject struct {
	Rig        string            `json:"rig"`
	Version    string            `json:"version"`
	Recordings []recordingObject `json:"recordings"`
	MassKG     float64           `json:"mass_kg,omitempty"`
	Values     []valueObject     `json:"values"`
	Ratio      *ratioObject      `json:"ratio,omitempty"`
	Fit        fitObject         `json:"fit"`
	Warnings   []string          `json:"warnings"`
}

type recordingObject struct {
	File   string           `json:"file"`
	SHA256 string           `json:"sha256"`
	Pieces []identify.Piece `json:"pieces"`
}

// valueObject is one value. Times are in s.
type valueObject struct {
	Path          string   `json:"path,omitempty"`
	Name          string   `json:"name"`
	Unit          string   `json:"unit,omitempty"`
	Standing      string   `json:"standing"`
	Value         *float64 `json:"value,omitempty"`
	StandardError *float64 `json:"standard_error,omitempty"`
	Low           *float64 `json:"low,omitempty"`
	High          *float64 `json:"high,omitempty"`
	Was           *float64 `json:"in_rig,omitempty"`
	Source        string   `json:"source,omitempty"`
	By            string   `json:"determined_by,omitempty"`
}

type ratioObject struct {
	HoldingRMSA  float64 `json:"holding_current_rms_a"`
	LoadTorqueNM float64 `json:"load_torque_nm"`
	NMPerRMSA    float64 `json:"nm_per_rms_a"`
	Weighed      bool    `json:"weighed"`
}

type fitObject struct {
	Condition *float64        `json:"condition,omitempty"` // left out if the information is singular
	Singular  []string        `json:"singular,omitempty"`
	Parts     []partObject    `json:"parts"`
	Related   []relatedObject `json:"correlations"`
}

type partObject struct {
	Name          string   `json:"name"`
	Rows          int      `json:"rows"`
	Factor        float64  `json:"residuals_over_noise"`
	Determination *float64 `json:"determination,omitempty"`
	Whiteness     *float64 `json:"whiteness_p,omitempty"`
}

type relatedObject struct {
	A           string  `json:"a"`
	B           string  `json:"b"`
	Correlation float64 `json:"correlation"`
}

// JSON is what identify --json prints, for its schema.
func JSON() any { return identifyObject{} }

// number leaves out what JSON cannot write.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func (z *identified) object() identifyObject {
	o := identifyObject{
		Rig: z.rig.Rig, Version: command.Version(), MassKG: z.massKG, Values: []valueObject{}, Recordings: []recordingObject{},
		Warnings: append([]string{}, z.result.Warnings...),
		Fit:      fitObject{Condition: number(z.result.Condition), Singular: z.result.Singular, Parts: []partObject{}, Related: []relatedObject{}},
	}
	for i, r := range z.recordings {
		o.Recordings = append(o.Recordings, recordingObject{r.Source, r.SHA256, append([]identify.Piece{}, z.result.Pieces[i].Pieces...)})
	}
	for i := range z.result.Values {
		o.Values = append(o.Values, objectOf(&z.result.Values[i]))
	}
	for _, p := range z.result.Parts {
		o.Fit.Parts = append(o.Fit.Parts, partObject{p.Name, p.Rows, p.Factor, number(p.Determination), number(p.Whiteness)})
	}
	for _, r := range z.result.Related {
		o.Fit.Related = append(o.Fit.Related, relatedObject(r))
	}
	if r := z.result.Ratio; r != nil {
		o.Ratio = &ratioObject{r.HoldingRMSA, r.LoadTorqueNM, r.NMPerRMSA, r.Weighed}
	}
	return o
}

func objectOf(v *identify.Value) valueObject {
	o := valueObject{
		Path: v.Path, Name: v.Name, Unit: v.Unit, Standing: string(v.Standing), Value: number(v.Value), StandardError: number(v.Error),
		Low: number(v.Low), High: number(v.High), Source: v.Source, By: v.By,
	}
	if v.InRig() {
		o.Was = number(v.Was)
	}
	return o
}
