package page

import (
	"context"
	"io"
	"net/http"

	"bittersum/internal/report"
	"bittersum/internal/study"
	"bittersum/internal/works"
)

// sureQuestion asks for the cheapest recipe that is as sure as wanted, what assurance costs, or what to measure next.
type sureQuestion struct {
	Question
	// Risk is the share of batches that may break a limit.
	Risk *float64 `json:"risk"`
	// TargetsToo asks for the targets to be kept as surely as the caps.
	TargetsToo bool `json:"targets_too"`
	// Counting is sum, each or drawn, and Method what is supposed of lots, as the command has them.
	Counting string   `json:"counting"`
	Method   string   `json:"method"`
	Bad      *float64 `json:"bad"`
	// Wants is recipe, curve or next.
	Wants string `json:"wants"`
}

func (s *Server) sure(ctx context.Context, q *sureQuestion, w io.Writer) (string, error) {
	asked := works.Assurance{Risk: q.Risk, Targets: q.TargetsToo, Each: q.Counting == "each", Drawn: q.Counting == "drawn",
		Method: q.Method, Bad: q.Bad, Assumed: 100 * study.UsualVariation, Seed: 1}
	o, err := asked.Options(q.Wants == "curve")
	if err != nil {
		return "", err
	}
	job, err := s.changed(&q.Question)
	if err != nil {
		return "", err
	}
	switch q.Wants {
	case "curve":
		c, err := study.GuardCurve(ctx, job, o)
		if err != nil {
			return "", err
		}
		return tell(w, c.Plain.Conflict != nil, func(w io.Writer) error { return report.GuardCurveJSON(w, c) },
			func(w io.Writer) { report.GuardCurve(w, c, report.InFull) }, func() (report.Picture, error) { return report.GuardCurvePicture(c) })
	case "next":
		m, err := study.NextMeasurements(ctx, job, o)
		if err != nil {
			return "", err
		}
		return tell(w, m.Base.Plain.Conflict != nil, func(w io.Writer) error { return report.NextMeasurementsJSON(w, m) },
			func(w io.Writer) { report.NextMeasurements(w, m, report.InFull) }, func() (report.Picture, error) { return report.NextMeasurementsPicture(m) })
	case "recipe":
		r, err := study.Guard(ctx, job, o)
		if err != nil {
			return "", err
		}
		return tell(w, r.Assessment == nil, func(w io.Writer) error { return report.GuardJSON(w, r) },
			func(w io.Writer) { report.Guard(w, r, report.InFull) }, func() (report.Picture, error) { return report.GuardPicture(r) })
	}
	return "", wrong(http.StatusBadRequest, "%q is not recipe, curve or next", q.Wants)
}
