package route

import "strconv"

// Phases takes a new phase of a car by POST.
func Phases[T ~int64](car T) string { return "/cars/" + strconv.FormatInt(int64(car), 10) + "/phases" }

// PhaseNew is the form of a new phase of a car.
func PhaseNew[T ~int64](car T) string { return Phases(car) + "/new" }

// Phase shows a phase with its jobs, and saves it by POST.
func Phase[T ~int64](phase T) string { return "/phases/" + strconv.FormatInt(int64(phase), 10) }

// PhaseEdit is the form of a phase.
func PhaseEdit[T ~int64](phase T) string { return Phase(phase) + "/edit" }

// PhaseDelete deletes a phase by POST.
func PhaseDelete[T ~int64](phase T) string { return Phase(phase) + "/delete" }

// PhaseRestore brings a deleted phase back by POST.
func PhaseRestore[T ~int64](phase T) string { return Phase(phase) + "/restore" }
