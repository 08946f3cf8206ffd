package main

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"testing"
)

// flinkJars is the variable that names the folder of Flink's and Beam's jars, which
// .ci/engines fetches.
const flinkJars = "VANWRIGHT_FLINK_JARS"

// flink is a real Flink: a job manager and two task managers, each a process of two
// slots, and Beam's job server before them.
type flink struct {
	*cluster
	rest     string // address of the job manager
	settings string
	managers []*exec.Cmd
}

// startFlink starts it and waits until it takes work. It ends with the test.
func startFlink(t testing.TB) *flink {
	t.Helper()
	f := &flink{cluster: newCluster(t, "flink", flinkJars)}
	ports := freePorts(t, 6)
	f.rest = "127.0.0.1:" + ports[0]
	f.settings = filepath.Join(f.dir, "conf")
	writeFile(t, filepath.Join(f.settings, "config.yaml"), fmt.Sprintf(flinkSettings, ports[0], ports[1], ports[2]))
	f.start(t, "job manager", 512, "org.apache.flink.runtime.entrypoint.StandaloneSessionClusterEntrypoint", "--configDir", f.settings)
	f.startTaskManager(t)
	f.startTaskManager(t)
	f.startJobServer(t, "org.apache.beam.runners.flink.FlinkJobServerDriver", ports[3:], "--flink-master", f.rest)
	f.waitForManagers(t, 2)
	return f
}

// flinkSettings are those that a cluster of that kind cannot do without. Memory is
// that of a small machine, where the buffers of shuffles, 512 each by default, would not
// do for the task manager that is left alone. By fixed-delay a job whose worker is lost
// is tried again, which without checkpoints is not Flink's default.
const flinkSettings = `
rest.address: 127.0.0.1
rest.bind-address: 127.0.0.1
rest.port: %s
jobmanager.rpc.address: 127.0.0.1
jobmanager.bind-host: 127.0.0.1
jobmanager.rpc.port: %s
blob.server.port: %s
jobmanager.memory.process.size: 1024m
taskmanager.host: 127.0.0.1
taskmanager.bind-host: 127.0.0.1
taskmanager.numberOfTaskSlots: 2
taskmanager.load-balance.mode: SLOTS
taskmanager.cpu.cores: 1.0
taskmanager.memory.framework.heap.size: 128m
taskmanager.memory.framework.off-heap.size: 128m
taskmanager.memory.task.heap.size: 384m
taskmanager.memory.task.off-heap.size: 128m
taskmanager.memory.network.min: 128m
taskmanager.memory.network.max: 128m
taskmanager.network.sort-shuffle.min-buffers: 64
taskmanager.memory.managed.size: 128m
taskmanager.memory.jvm-metaspace.size: 256m
taskmanager.memory.jvm-overhead.min: 192m
taskmanager.memory.jvm-overhead.max: 192m
restart-strategy.type: fixed-delay
restart-strategy.fixed-delay.attempts: 20
restart-strategy.fixed-delay.delay: 1s
heartbeat.interval: 1000
heartbeat.timeout: 8000
`

func (f *flink) startTaskManager(t testing.TB) {
	t.Helper()
	name := fmt.Sprintf("task manager %d", len(f.managers)+1)
	f.managers = append(f.managers, f.start(t, name, 512, "org.apache.flink.runtime.taskexecutor.TaskManagerRunner", "--configDir", f.settings))
}

// waitForManagers waits until so many task managers have reported for work.
func (f *flink) waitForManagers(t testing.TB, want int) {
	t.Helper()
	waitUntil(t, fmt.Sprintf("%d task managers are there", want), func() bool {
		var o struct{ Taskmanagers int }
		return f.get("/overview", &o) == nil && o.Taskmanagers == want
	})
}

// get asks the job manager.
func (f *flink) get(path string, answer any) error {
	return askJSON("http://"+f.rest+path, answer)
}

// failures counts how often tasks of the last job failed and were tried again.
func (f *flink) failures(t testing.TB) int {
	t.Helper()
	var all struct {
		Jobs []struct {
			Jid   string
			Start int64 `json:"start-time"`
		}
	}
	if err := f.get("/jobs/overview", &all); err != nil {
		t.Fatal(err)
	}
	id, latest := "", int64(-1)
	for _, j := range all.Jobs {
		if j.Start > latest {
			id, latest = j.Jid, j.Start
		}
	}
	if id == "" {
		return 0
	}
	var told struct {
		ExceptionHistory struct{ Entries []any }
	}
	if err := f.get("/jobs/"+id+"/exceptions", &told); err != nil {
		t.Fatal(err)
	}
	return len(told.ExceptionHistory.Entries)
}
