# SPDX-License-Identifier: Apache-2.0
"""Generator of the demo site: its record, readings and intervals. All of it is invented."""
