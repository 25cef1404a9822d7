"""The one place that knows both engines: explore, replay each witness in the simulator, judge."""
