// Facts that more than one rule tells.
#pragma once

namespace bln {
struct Finding;
}

namespace bln::rules {

class Context;
struct Diagnosis;
struct Parts;

/// Adds the facts elements, needed, registered, error, condition, and, where nominal voltages are known,
/// least and greatest: the part of its energy that a load between two conductors registers, at power
/// factors 1 and 0.9 lagging.
void describe_error(const Context& context, const Diagnosis& diagnosis, Finding& finding);

/// Adds the points as subjects, and the facts points, measured (what their shares add up to) and expected.
void say_parts(const Context& context, const Parts& parts, Finding& finding);

}  // namespace bln::rules
