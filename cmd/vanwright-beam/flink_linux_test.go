package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// flinkJars is the variable that names the folder of Flink's and Beam's jars, which
// .ci/flink fetches.
const flinkJars = "VANWRIGHT_FLINK_JARS"

// flink is a real Flink: a job manager and two task managers, each a process of two
// slots, and Beam's job server before them. All listen on the loopback address.
type flink struct {
	dir      string // settings, logs, what the processes leave
	jars     string
	program  string // vanwright-beam, as it is installed
	rest     string // address of the job manager
	jobs     string // address of the job server
	settings string
	managers []*exec.Cmd
}

// opened are the parts of Java that Flink 1.19 reaches into, by its own start scripts.
var opened = []string{
	"java.base/java.lang", "java.base/java.net", "java.base/java.io", "java.base/java.nio", "java.base/sun.nio.ch",
	"java.base/java.lang.reflect", "java.base/java.text", "java.base/java.time", "java.base/java.util",
	"java.base/java.util.concurrent", "java.base/java.util.concurrent.atomic", "java.base/java.util.concurrent.locks",
}

// startFlink starts it and waits until it takes work. It ends with the test.
func startFlink(t *testing.T) *flink {
	t.Helper()
	jars, err := filepath.Glob(filepath.Join(os.Getenv(flinkJars), "*.jar"))
	if os.Getenv(flinkJars) == "" || err != nil || len(jars) == 0 {
		t.Skipf("%s names no folder of jars: .ci/flink fetches them and runs this test", flinkJars)
	}
	if _, err := exec.LookPath("java"); err != nil {
		t.Skip("no java here: Flink can't be started")
	}
	f := &flink{dir: t.TempDir(), jars: strings.Join(jars, ":")}
	f.program = filepath.Join(f.dir, "vanwright-beam")
	if out, err := exec.Command("go", "build", "-o", f.program, ".").CombinedOutput(); err != nil {
		t.Fatalf("build vanwright-beam: %v\n%s", err, out)
	}
	ports := freePorts(t, 6)
	f.rest, f.jobs = "127.0.0.1:"+ports[0], "127.0.0.1:"+ports[3]
	f.settings = filepath.Join(f.dir, "conf")
	writeFile(t, filepath.Join(f.settings, "config.yaml"), fmt.Sprintf(flinkSettings, ports[0], ports[1], ports[2]))
	t.Cleanup(func() {
		if t.Failed() {
			f.tellTrouble(t)
		}
	})
	f.start(t, "job manager", 512, "org.apache.flink.runtime.entrypoint.StandaloneSessionClusterEntrypoint", "--configDir", f.settings)
	f.startTaskManager(t)
	f.startTaskManager(t)
	f.start(t, "job server", 512, "org.apache.beam.runners.flink.FlinkJobServerDriver",
		"--flink-master", f.rest, "--job-host", "127.0.0.1", "--job-port", ports[3], "--artifact-port", ports[4],
		"--expansion-port", ports[5], "--artifacts-dir", filepath.Join(f.dir, "artifacts"))
	f.waitForManagers(t, 2)
	waitUntil(t, "the job server listens", func() bool {
		c, err := net.Dial("tcp", f.jobs)
		if err == nil {
			c.Close()
		}
		return err == nil
	})
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

// start starts a Java process in a group of its own, so that what it starts in turn
// ends with it.
func (f *flink) start(t *testing.T, name string, heapMB int, class string, args ...string) *exec.Cmd {
	t.Helper()
	temp := filepath.Join(f.dir, "temp")
	if err := os.MkdirAll(temp, 0o755); err != nil {
		t.Fatal(err)
	}
	java := []string{
		fmt.Sprintf("-Xmx%dm", heapMB), "-XX:+UseSerialGC", "-XX:TieredStopAtLevel=1", "-Djava.io.tmpdir=" + temp,
		"-Dorg.slf4j.simpleLogger.showDateTime=true", "-Dorg.slf4j.simpleLogger.dateTimeFormat=HH:mm:ss.SSS",
		"--add-exports=java.base/sun.net.util=ALL-UNNAMED",
	}
	for _, part := range opened {
		java = append(java, "--add-opens="+part+"=ALL-UNNAMED")
	}
	cmd := exec.Command("java", append(append(java, "-cp", f.jars, class), args...)...)
	log, err := os.Create(filepath.Join(f.dir, name+".log"))
	if err != nil {
		t.Fatal(err)
	}
	cmd.Stdout, cmd.Stderr, cmd.Dir = log, log, f.dir
	cmd.Env = append(os.Environ(), "TMPDIR="+temp)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true, Pdeathsig: syscall.SIGKILL}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
		_ = cmd.Wait() // killed
		log.Close()
	})
	return cmd
}

func (f *flink) startTaskManager(t *testing.T) {
	t.Helper()
	name := fmt.Sprintf("task manager %d", len(f.managers)+1)
	f.managers = append(f.managers, f.start(t, name, 512, "org.apache.flink.runtime.taskexecutor.TaskManagerRunner", "--configDir", f.settings))
}

// waitForManagers waits until so many task managers have reported for work.
func (f *flink) waitForManagers(t *testing.T, want int) {
	t.Helper()
	waitUntil(t, fmt.Sprintf("%d task managers are there", want), func() bool {
		var o struct{ Taskmanagers int }
		return f.get("/overview", &o) == nil && o.Taskmanagers == want
	})
}

// get asks the job manager.
func (f *flink) get(path string, answer any) error {
	resp, err := http.Get("http://" + f.rest + path)
	if err != nil {
		return err
	}
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	if err != nil {
		return err
	}
	return json.Unmarshal(text, answer)
}

// failures counts how often tasks of the last job failed and were tried again.
func (f *flink) failures(t *testing.T) int {
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

// submission is the program at work.
type submission struct {
	cmd    *exec.Cmd
	output bytes.Buffer
	done   chan error
}

// submit starts vanwright-beam as a user would, with two workers, each a process that
// its task manager starts.
func (f *flink) submit(t *testing.T, args ...string) *submission {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 6*time.Minute)
	t.Cleanup(cancel)
	args = append(args, "--runner", "flink", "--endpoint", f.jobs, "--worker_binary", f.program, "--parallelism", "2",
		"--environment_type", "PROCESS", "--environment_config", fmt.Sprintf(`{"command": %q}`, f.program))
	s := &submission{cmd: exec.CommandContext(ctx, f.program, args...), done: make(chan error, 1)}
	s.cmd.Stdout, s.cmd.Stderr = &s.output, &s.output
	s.cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() { s.done <- s.cmd.Wait() }()
	return s
}

// ends waits for it and wants that it went well.
func (s *submission) ends(t *testing.T) {
	t.Helper()
	if err := <-s.done; err != nil {
		t.Fatalf("%v\n%s", err, s.output.String())
	}
}

// workers are the processes that task managers started for the program, by number,
// with the number of the one that started each.
func (f *flink) workers(t *testing.T) map[int]int {
	t.Helper()
	found := map[int]int{}
	lines, _ := filepath.Glob("/proc/[0-9]*/cmdline")
	for _, file := range lines {
		text, err := os.ReadFile(file)
		if err != nil || !bytes.HasPrefix(text, []byte(f.program+"\x00")) || !bytes.Contains(text, []byte("--provision_endpoint=")) {
			continue
		}
		pid, err := strconv.Atoi(strings.Split(file, "/")[2])
		if err != nil {
			t.Fatal(err)
		}
		if stat, err := os.ReadFile(filepath.Join(filepath.Dir(file), "stat")); err == nil && !bytes.Contains(stat, []byte(") Z ")) {
			found[pid] = parentOf(t, pid)
		}
	}
	return found
}

// tellTrouble shows what the processes said of it.
func (f *flink) tellTrouble(t *testing.T) {
	logs, _ := filepath.Glob(filepath.Join(f.dir, "*.log"))
	for _, log := range logs {
		text, _ := os.ReadFile(log)
		var said []string
		for line := range strings.Lines(string(text)) {
			if strings.Contains(line, "ERROR") || strings.Contains(line, "Exception") || strings.Contains(line, "vanwright") {
				said = append(said, line[:min(len(line), 300)])
			}
		}
		t.Logf("%s:\n%s", filepath.Base(log), strings.Join(said[max(0, len(said)-20):], "\n"))
	}
}

func waitUntil(t *testing.T, what string, true func() bool) {
	t.Helper()
	for deadline := time.Now().Add(3 * time.Minute); !true(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain until %s", what)
		}
	}
}

// freePorts are ports of the loopback address on which nobody listens.
func freePorts(t *testing.T, n int) []string {
	t.Helper()
	var ports []string
	for range n {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		defer l.Close()
		_, port, _ := net.SplitHostPort(l.Addr().String())
		ports = append(ports, port)
	}
	return ports
}
