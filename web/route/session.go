package route

import "strconv"

// Sessions shows the weekly pattern, the exceptions from it, and the sessions that come of them.
func Sessions() string { return "/sessions" }

// PatternNew is the form for a line of the weekly pattern; Patterns takes it by POST.
func PatternNew() string { return "/sessions/weekly/new" }

// Patterns takes a new line of the weekly pattern by POST.
func Patterns() string { return "/sessions/weekly" }

// Pattern takes a changed line of the weekly pattern by POST.
func Pattern[T ~int64](id T) string { return Patterns() + "/" + number(id) }

// PatternEdit is the form of a line of the weekly pattern.
func PatternEdit[T ~int64](id T) string { return Pattern(id) + "/edit" }

// PatternDelete takes a line away by POST.
func PatternDelete[T ~int64](id T) string { return Pattern(id) + "/delete" }

// ExceptionNew is the form for an exception; Exceptions takes it by POST.
func ExceptionNew() string { return "/sessions/exceptions/new" }

// Exceptions takes a new exception by POST.
func Exceptions() string { return "/sessions/exceptions" }

// Exception takes a changed exception by POST.
func Exception[T ~int64](id T) string { return Exceptions() + "/" + number(id) }

// ExceptionEdit is the form of an exception.
func ExceptionEdit[T ~int64](id T) string { return Exception(id) + "/edit" }

// ExceptionDelete takes an exception away by POST.
func ExceptionDelete[T ~int64](id T) string { return Exception(id) + "/delete" }

func number[T ~int64](id T) string { return strconv.FormatInt(int64(id), 10) }
