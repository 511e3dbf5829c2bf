// The error of an arrangement in words and numbers, for every rule that has one to tell.
#pragma once

namespace bln {
struct Finding;
}

namespace bln::rules {

class Context;
struct Diagnosis;

/// Adds the facts elements, needed, registered, error, condition, and, where nominal voltages are known,
/// least and greatest: the part of its energy that a load between two conductors registers, at power
/// factors 1 and 0.9 lagging.
void describe_error(const Context& context, const Diagnosis& diagnosis, Finding& finding);

}  // namespace bln::rules
