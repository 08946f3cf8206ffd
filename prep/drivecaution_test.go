package prep

import (
	"testing"

	"github.com/vanwright/vanwright/appraise"
	"github.com/vanwright/vanwright/data"
)

// A van with an unsafe point that bears on the road is not driven to another site; with
// one of gas or 230 V it is, with everything shut off.
func TestTheDriveOfAnUnsafeVan(t *testing.T) {
	stop := func(title, job string) appraise.Finding {
		return appraise.Finding{Checkpoint: &data.Checkpoint{Title: title}, Job: job, Stops: true, Verdict: data.Unsafe}
	}
	jobs := []Job{
		{Code: "brake-pads", Gate: "roadworthy", State: data.JobOpen}, {Code: "gas-leak-repair", Gate: "habitation", State: data.JobOpen},
		{Code: transferJob, State: data.JobOpen, Caution: "Two people."},
	}
	const road = "Two people. On a transporter, not on its own wheels, unsafe as it is: "
	for _, tt := range []struct {
		name  string
		stops []appraise.Finding
		want  string
	}{
		{"nothing unsafe", nil, "Two people."},
		{"brakes, once however many wheels", []appraise.Finding{stop("Brake pads", "brake-pads"), stop("Brake pads", "brake-pads")}, road + "Brake pads."},
		{"gas", []appraise.Finding{stop("Gas tightness", "gas-leak-repair")}, "Two people. Gas bottles shut, mains unplugged and nothing used on the way, unsafe as it is: Gas tightness."},
		{"both: what bears on the road is said", []appraise.Finding{stop("Gas tightness", "gas-leak-repair"), stop("Brake pads", "brake-pads")}, road + "Brake pads."},
		{"a point without a job may bear on the road", []appraise.Finding{stop("Steering", "")}, road + "Steering."},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := WithDriveCaution(jobs, tt.stops)[2].Caution; got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
	if jobs[2].Caution != "Two people." {
		t.Error("the jobs that came in are changed")
	}
	alone := []Job{{Code: transferJob, State: data.JobOpen}}
	if got := WithDriveCaution(alone, []appraise.Finding{stop("Steering", "")})[0].Caution; got != "On a transporter, not on its own wheels, unsafe as it is: Steering." {
		t.Errorf("with nothing else to do: %q", got)
	}
	driven := []Job{{Code: transferJob, State: data.JobDone}}
	if got := WithDriveCaution(driven, []appraise.Finding{stop("Steering", "")})[0].Caution; got != "" {
		t.Errorf("a drive that is over: %q", got)
	}
}
