"""What tests share: places, small jobs and procedures, rooms without hardware."""
